package scenarios

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"slatbench/sim/logic"
)

// basedOnKey makes a logic file an overlay: it names the logic that the file changes.
const basedOnKey = "based on"

// logicChanges is a logic file that says only in what it differs from another.
type logicChanges struct {
	Located
	Name    string         `yaml:"logic,required" doc:"what this logic is called"`
	BasedOn string         `yaml:"based on,required" doc:"the logic that this one changes: a file, beside this one or by its path, or a shipped one"`
	Tuning  looseNode      `yaml:"tuning" doc:"thresholds and times that change; all others stay"`
	Door    machineChanges `yaml:"door" doc:"what changes in the machine that every door runs"`
	Lock    machineChanges `yaml:"lock" doc:"what changes in the machine that every side's lock runs"`
}

// machineChanges is what an overlay changes in a machine. They are made in this order.
// Renaming comes first: everything else uses the new names.
type machineChanges struct {
	Located
	Rename Map[string]        `yaml:"rename states" doc:"old name: new name; everything else here uses the new one"`
	Start  string             `yaml:"start" doc:"another state after a reset"`
	Drop   []string           `yaml:"drop states" doc:"states that go, with all that they answer"`
	Change []logic.State      `yaml:"change states" doc:"outputs that change; what an item leaves out stays, and none takes an output away"`
	Add    []logic.State      `yaml:"add states" doc:"states that come in"`
	DropT  []answerName       `yaml:"drop transitions" doc:"answers that go"`
	ChngT  []transitionChange `yaml:"change transitions" doc:"answers that are given otherwise; what an item leaves out stays"`
	AddT   []transitionAdded  `yaml:"add transitions" doc:"answers that come in"`
}

// answerName addresses answers of the base: those of some states to an event, under
// these guards, or as many of them as tell the answer from the others.
type answerName struct {
	Located
	From stateNames `yaml:"from,required" doc:"the states, one or a list"`
	On   string     `yaml:"on,required" doc:"the event"`
	If   []string   `yaml:"if" doc:"its guards in the base, or as many as tell it from the state's other answers to the event"`
}

// transitionChange is how answers change.
type transitionChange struct {
	Located
	From  stateNames `yaml:"from,required" doc:"the states, one or a list"`
	On    string     `yaml:"on,required" doc:"the event"`
	If    []string   `yaml:"if" doc:"its guards in the base, or as many as tell it from the state's other answers to the event"`
	NewIf []string   `yaml:"new if" doc:"other guards instead"`
	To    string     `yaml:"to" doc:"another next state, or stay"`
	Alarm string     `yaml:"alarm" doc:"another alarm, or none"`
	Do    []string   `yaml:"do" doc:"what it does besides, instead of what it did; [] is nothing"`
}

func (t *transitionChange) name() answerName { return answerName{t.Located, t.From, t.On, t.If} }

// transitionAdded is a transition whose state may stand alone.
type transitionAdded struct {
	Located
	From  stateNames `yaml:"from,required" doc:"the states, one or a list"`
	On    string     `yaml:"on,required" doc:"the event"`
	If    []string   `yaml:"if" doc:"guards that must all hold; 'not' before one turns it round"`
	To    string     `yaml:"to,required" doc:"the next state, or stay"`
	Alarm string     `yaml:"alarm" doc:"the alarm that it sounds"`
	Do    []string   `yaml:"do" doc:"what it does besides"`
}

// stateNames is one state or a list of them.
type stateNames struct {
	Located
	names []string
}

// DecodeNode implements NodeDecoder.
func (s *stateNames) DecodeNode(d *Decoder, n *Node) error {
	items := n.Items
	if n.Kind != List {
		items = []*Node{n}
	}
	for _, item := range items {
		if text, ok := d.Text(item); ok {
			s.names = append(s.names, text)
		}
	}
	return nil
}

// looseNode is read later, when it has been laid over what the base has.
type looseNode struct{ Located }

// DecodeNode implements NodeDecoder.
func (l *looseNode) DecodeNode(d *Decoder, n *Node) error {
	d.expect(n, Mapping, "keys with values such as pause: 300 ms")
	return nil
}

var logicFileType = reflect.TypeFor[logicFile]()

// isLogicOverlay tells that a node is a logic file which changes another.
func isLogicOverlay(n *Node, s *structShape) bool {
	return s.typ == logicFileType && n.Kind == Mapping && n.pair(basedOnKey) != nil
}

// What is said of a file that changes a table which it does not name.
const (
	noBase     = "this says what is to differ, and not from which table"
	noBaseHint = "add a line such as \"" + basedOnKey + ": baseline\""
)

// forgottenBase refuses a logic file that says only what differs, and lacks the line
// that names its base or has it misspelt: it changes a machine, or it has tuning alone.
func (r *resolver) forgottenBase(n *Node, s *structShape) bool {
	if s.typ != logicFileType || n.Kind != Mapping || n.Get("logic") == nil {
		return false
	}
	known, alone := s.keys(), n.Get("tuning") != nil
	for _, pair := range n.Pairs {
		alone = alone && (pair.Key == "logic" || pair.Key == "tuning")
		if !slices.Contains(known, pair.Key) && nearest(pair.Key, []string{basedOnKey}) != "" {
			r.report.Add(pair.Pos, "unknown key "+quoted(pair.Key), "did you mean "+quoted(basedOnKey)+"?")
			return true
		}
		if at, changes := changeOf(pair); changes {
			r.report.Add(at, noBase, noBaseHint)
			return true
		}
	}
	if alone {
		r.report.Add(n.Pos, noBase, noBaseHint)
	}
	return alone
}

// changeOf finds in a machine a key that only an overlay has.
func changeOf(machine Pair) (Pos, bool) {
	if machine.Key != "door" && machine.Key != "lock" || machine.Value.Kind != Mapping {
		return Pos{}, false
	}
	whole := shapeOfStruct(reflect.TypeFor[logic.Machine]()).keys()
	changes := shapeOfStruct(reflect.TypeFor[machineChanges]()).keys()
	for _, inner := range machine.Value.Pairs {
		if slices.Contains(changes, inner.Key) && !slices.Contains(whole, inner.Key) {
			return inner.Pos, true
		}
	}
	return Pos{}, false
}

// basedOn makes the whole table of an overlay: nil where a problem was noted.
func (r *resolver) basedOn(n *Node, s *structShape, chain []source) *Node {
	var over logicChanges
	before := len(r.report.problems)
	d := &Decoder{report: r.report}
	d.structure(n, shapeOfStruct(reflect.TypeFor[logicChanges]()), reflect.ValueOf(&over).Elem())
	if len(r.report.problems) > before {
		return nil
	}
	name := *n.Get(basedOnKey)
	by := chain[len(chain)-1]
	name.Text = r.baseName(name.Text, by)
	if _, _, err := r.loader.open(name.Text, by); err != nil {
		if near := NearestShipped(LogicKind, name.Text); near != "" && !strings.ContainsAny(name.Text, `/\.`) {
			r.report.Add(name.Pos, "no logic "+quoted(name.Text)+", neither a file nor a shipped one", "did you mean "+ShortName(near)+"?")
			return nil
		}
	}
	base := r.file(&name, s, chain)
	if base == nil || !r.sound(base, s, &name) {
		return nil
	}
	p := &patch{report: r.report, before: before}
	result := base.with(*n.pair("logic"))
	result.Pos = n.Pos
	if pair := n.pair("tuning"); pair != nil {
		p.tuning(base.Get("tuning"), pair.Value)
		result = result.with(Pair{"tuning", pair.Pos, r.mergeValue(base.Get("tuning"), pair.Value, s.field("tuning").shape)})
	}
	for _, m := range [...]struct {
		key     string
		changes *machineChanges
		words   *logic.Vocabulary
	}{{"door", &over.Door, &logic.DoorWords}, {"lock", &over.Lock, &logic.LockWords}} {
		if pair := n.pair(m.key); pair != nil {
			p.begin(m.key, base.Get(m.key), m.words)
			result = result.with(Pair{m.key, pair.Pos, p.machine(m.changes)})
		}
	}
	if n.pair("tuning") == nil && n.pair("door") == nil && n.pair("lock") == nil {
		r.report.Add(n.Pos, "this file changes nothing in "+quoted(over.BasedOn), "say what differs under tuning, door or lock; a new name alone is no change")
	}
	if len(r.report.problems) > before {
		return nil
	}
	return result
}

// baseName is the file of a base: as it is named, unless that is the short name of a shipped one.
func (r *resolver) baseName(typed string, by source) string {
	if strings.ContainsAny(typed, `/\`) || strings.HasPrefix(typed, shippedPrefix) {
		return typed
	}
	for _, name := range ShippedNames(LogicKind) {
		if ShortName(name) == typed {
			if _, _, err := r.loader.open(typed, by); err != nil {
				return shippedPrefix + name
			}
		}
	}
	return typed
}

// sound tells that a base is a whole table by itself. What is wrong with it is told of it.
func (r *resolver) sound(base *Node, s *structShape, name *Node) bool {
	var f logicFile
	d := &Decoder{report: &Report{files: r.report.files}}
	d.structure(base, s, reflect.ValueOf(&f).Elem())
	d.finish()
	if err := d.report.Err(); err != nil {
		r.report.Add(name.Pos, fmt.Sprintf("%s, on which this is based, is no sound table", quoted(name.Text)), "what is wrong with it follows")
		r.report.addError(name.Pos, err)
		return false
	}
	return true
}

// LogicBase is what a logic file is based on.
type LogicBase struct {
	Name  string // as the file names it
	Table *logic.Table
	// Renamed are the states that have another name in the file: new name to old.
	Door, Lock map[string]string
}

// LoadLogicBase reads what a logic file is based on, or nothing where the file is a
// whole table. The file must have been loaded without a problem.
func (l *Loader) LoadLogicBase(name string) (*LogicBase, error) {
	src, data, err := l.open(name, source{})
	if err != nil {
		return nil, Problems{l.missing(&Node{Kind: Scalar, Text: name}, source{}, err, LogicKind)}
	}
	root, err := parseFile(src.name, data)
	if err != nil || root.pair(basedOnKey) == nil {
		return nil, err
	}
	r := &resolver{loader: l, report: &Report{files: []string{src.name}}}
	at := *root.Get(basedOnKey)
	var over logicChanges
	d := &Decoder{report: r.report}
	d.structure(root, shapeOfStruct(reflect.TypeFor[logicChanges]()), reflect.ValueOf(&over).Elem())
	base := &LogicBase{Name: at.Text, Door: over.Door.renamed(), Lock: over.Lock.renamed()}
	at.Text = r.baseName(at.Text, src)
	from, text, err := l.open(at.Text, src)
	if err != nil {
		return nil, Problems{l.missing(&at, src, err, LogicKind)}
	}
	var f logicFile
	if err := l.decode(from, text, &f, nil); err != nil {
		return nil, err
	}
	base.Table = f.table()
	return base, r.report.Err()
}

func (c *machineChanges) renamed() map[string]string {
	names := map[string]string{}
	for i := range c.Rename.Entries {
		names[c.Rename.Entries[i].Value] = c.Rename.Entries[i].Key
	}
	return names
}

// sameGuards tells that two lists of guards say the same.
func sameGuards(a, b []string) bool {
	return slices.Equal(slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b)))
}

// TuningChanges lists the values of a tuning that differ from its base: "pause: 300 ms, now 500 ms".
func TuningChanges(base, tuning *logic.Tuning) (list []string) {
	was, is := reflect.ValueOf(base).Elem(), reflect.ValueOf(tuning).Elem()
	for _, f := range shapeOfStruct(was.Type()).fields {
		a, b := was.FieldByIndex(f.index).Float(), is.FieldByIndex(f.index).Float()
		if a != b {
			list = append(list, fmt.Sprintf("%s: %s, now %s", f.key, FormatQuantity(a, f.shape.dim.name), FormatQuantity(b, f.shape.dim.name)))
		}
	}
	return list
}
