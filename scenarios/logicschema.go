package scenarios

import (
	"reflect"

	"github.com/invopop/jsonschema"

	"slatbench/sim/logic"
)

// JSONSchema implements SchemaGiver: one state or a list of them.
func (s *stateNames) JSONSchema() *jsonschema.Schema {
	one := &jsonschema.Schema{Type: "string"}
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{one, {Type: "array", Items: one}}}
}

// logicSchema describes both kinds of logic file: a whole table, or what changes in another.
func logicSchema() *jsonschema.Schema {
	b := &schemaBuilder{defs: jsonschema.Definitions{}, names: map[structUse]string{}}
	whole := b.structure(shapeOfStruct(logicFileType), false)
	changes := b.structure(shapeOfStruct(reflect.TypeFor[logicChanges]()), false)
	tuning := b.structure(shapeOfStruct(reflect.TypeFor[logic.Tuning]()), true)
	tuning.Description = "thresholds and times that change; all others stay"
	b.defs["logicChanges"].Properties.Set("tuning", tuning)
	return &jsonschema.Schema{
		Version: jsonschema.Version, Title: "logic table", Definitions: b.defs,
		If: &jsonschema.Schema{Required: []string{basedOnKey}}, Then: changes, Else: whole,
	}
}
