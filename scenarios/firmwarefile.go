package scenarios

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/invopop/jsonschema"

	"slatbench/sim"
	"slatbench/sim/campaign"
	"slatbench/sim/firmware"
	"slatbench/sim/firmware/meter"
)

// firmwareFile tells which controllers come from where.
type firmwareFile struct {
	Located
	Name     string       `yaml:"firmware,required" doc:"what this firmware is called"`
	Door     firmwarePart `yaml:"door,required" doc:"controller of every door: a module, a logic table, or a program with its arguments"`
	Locks    firmwarePart `yaml:"locks" doc:"controller of the locks; left out, it is the door's"`
	Deadline float64      `yaml:"deadline" unit:"time" range:"[10 ms,600 s]" default:"5 s" doc:"of a program, for an answer"`
}

// firmwarePart is a file, or a program with its arguments.
type firmwarePart struct {
	Located
	Words []string
}

// DecodeNode implements NodeDecoder.
func (p *firmwarePart) DecodeNode(d *Decoder, n *Node) error {
	list := []*Node{n}
	if n.Kind == List {
		list = n.Items
	}
	for _, item := range list {
		text, ok := d.Text(item)
		if !ok {
			return nil
		}
		p.Words = append(p.Words, text)
	}
	if len(p.Words) == 0 || p.Words[0] == "" {
		return errors.New("expected a file, or [program, argument, ...]")
	}
	return nil
}

// JSONSchema implements SchemaGiver: a file, or a program with its arguments.
func (*firmwarePart) JSONSchema() *jsonschema.Schema {
	one := uint64(1)
	file := &jsonschema.Schema{Type: "string", MinLength: &one}
	return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{file, {
		Type: "array", MinItems: &one, PrefixItems: []*jsonschema.Schema{file},
		Items: &jsonschema.Schema{AnyOf: []*jsonschema.Schema{{Type: "string"}, {Type: "number"}, {Type: "boolean"}}}, // an argument is taken as it is written
	}}}
}

// firmwareKey tells a firmware file from a logic table.
const firmwareKey = "firmware"

// fromOutside opens the controllers that a file names, where they are no table; nil
// where they may be one. The word stands at a place in a file, or nowhere.
func (l *Loader) fromOutside(word string, by source, at Pos) (*UnderTest, error) {
	path, ok := onDisk(word, by)
	if !ok || l.Sealed { // a text that comes from who knows where runs nothing
		return nil, nil
	}
	var u *UnderTest
	switch kind, err := kindOnDisk(path); {
	case err != nil:
		return nil, Problems{{at, fmt.Sprintf("cannot read %s: %v", quoted(word), err), ""}}
	case kind == moduleFile, kind == programFile:
		u, err = openPart(path, []string{path}, firmware.DefaultDeadline, bothRoles)
		if err != nil {
			return nil, Problems{{Pos{File: path}, err.Error(), firmwareHint}}
		}
	case kind == firmwareText:
		if u, err = l.loadFirmware(word, by, at); err != nil {
			return nil, err
		}
	default:
		return nil, nil
	}
	if len(l.Set) > 0 {
		u.Close()
		key, _, _ := strings.Cut(l.Set[0], "=")
		return nil, Problems{{Pos{File: "--set " + key}, fmt.Sprintf("%s is no logic table: nothing in it can be set", quoted(u.Title())), ""}}
	}
	return u, nil
}

// firmwareHint follows what is wrong with a module or a program.
const firmwareHint = "docs/firmware.md says under \"What is refused\" what to do"

// onDisk is a regular file of the user's that a word means, if there is one.
func onDisk(word string, by source) (string, bool) {
	if by.shipped || strings.HasPrefix(word, shippedPrefix) {
		return "", false
	}
	path := filepath.FromSlash(word)
	if by.name != "" && !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(by.name), path)
	}
	info, err := os.Stat(path)
	return path, err == nil && info.Mode().IsRegular()
}

// Kinds of file that can be under test, as their beginnings tell.
type outsideKind int

const (
	tableText outsideKind = iota
	firmwareText
	moduleFile
	programFile
)

// kindOnDisk looks into a file. A text or a module with an ending of its own is never
// run, even where it may be: one that was cut short is no program.
func kindOnDisk(path string) (outsideKind, error) {
	data, info, err := beginning(path)
	if err != nil {
		return 0, err
	}
	text := strings.EqualFold(filepath.Ext(path), ".yaml") || strings.EqualFold(filepath.Ext(path), ".yml")
	switch {
	case meter.IsModule(data), strings.EqualFold(filepath.Ext(path), ".wasm"):
		return moduleFile, nil
	case info.Mode()&0o111 != 0 && !text:
		return programFile, nil
	}
	if root, err := parseFile(path, data); err == nil && root.Kind == Mapping && root.Get(firmwareKey) != nil {
		return firmwareText, nil
	}
	return tableText, nil
}

// beginning is as much of a file as a text may have.
func beginning(path string) ([]byte, fs.FileInfo, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, nil, withoutName(err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, nil, withoutName(err)
	}
	data, err := readBounded(file)
	return data, info, withoutName(err)
}

// withoutName is an error without the name of its file, which stands elsewhere.
func withoutName(err error) error {
	var named *fs.PathError
	if errors.As(err, &named) {
		return named.Err
	}
	return err
}

// bothRoles are what one file serves alone.
var bothRoles = []firmware.Role{firmware.Door, firmware.Locks}

// outside is a module or a program.
type outside interface {
	sim.Lender
	Digest() string
	Layout() *firmware.Layout
	Close() error
}

// openPart opens a module or a program, and makes sure that it serves what it is for.
func openPart(path string, argv []string, deadline time.Duration, roles []firmware.Role) (*UnderTest, error) {
	o, err := open(path, argv, deadline)
	if err != nil {
		return nil, err
	}
	for _, r := range roles {
		if !o.Layout().Serves(r) {
			o.Close()
			return nil, fmt.Errorf("it does not serve as controller of the %s, as its layout says: a file with the keys %s, door and locks names one for each", r, firmwareKey)
		}
	}
	return &UnderTest{Logic: o, digest: func() (string, error) { return o.Digest(), nil }, close: o.Close}, nil
}

func open(path string, argv []string, deadline time.Duration) (outside, error) {
	kind, err := kindOnDisk(path)
	if err != nil {
		return nil, err
	}
	if kind == moduleFile && len(argv) == 1 {
		data, err := os.ReadFile(path)
		if err != nil {
			return nil, withoutName(err)
		}
		return firmware.OpenModule(filepath.Base(path), data)
	}
	if !strings.ContainsRune(argv[0], filepath.Separator) {
		argv[0] = "." + string(filepath.Separator) + argv[0] // never one of the search path
	}
	return firmware.OpenProgram(filepath.Base(path), argv, deadline)
}

// loadFirmware reads a firmware file, and opens what it names.
func (l *Loader) loadFirmware(word string, by source, at Pos) (*UnderTest, error) {
	src, data, err := l.open(filepath.FromSlash(word), by)
	if err != nil {
		return nil, Problems{l.missing(&Node{Kind: Scalar, Text: word, Pos: at}, by, err, FirmwareKind, LogicKind)}
	}
	var f firmwareFile
	if err := l.decode(src, data, &f, nil); err != nil {
		return nil, err
	}
	roles := []firmware.Role{firmware.Door}
	if len(f.Locks.Words) == 0 {
		roles = bothRoles
	}
	door, err := l.part(&f.Door, &f, src, roles)
	if err != nil || len(f.Locks.Words) == 0 {
		return renamed(door, f.Name), err
	}
	locks, err := l.part(&f.Locks, &f, src, []firmware.Role{firmware.Locks})
	if err != nil {
		door.Close()
		return nil, err
	}
	return renamed(pairOf(door, locks), f.Name), nil
}

// part opens one of the parts that a firmware file names, beside it.
func (l *Loader) part(p *firmwarePart, f *firmwareFile, src source, roles []firmware.Role) (*UnderTest, error) {
	word := p.Words[0]
	path, there := onDisk(word, src)
	if there {
		kind, err := kindOnDisk(path)
		if err == nil && (kind == moduleFile || kind == programFile || len(p.Words) > 1) {
			var u *UnderTest
			u, err = openPart(path, append([]string{path}, p.Words[1:]...), time.Duration(f.Deadline*float64(time.Second)), roles)
			if err == nil {
				return u, nil
			}
		}
		if err != nil {
			return nil, Problems{{p.Pos(), fmt.Sprintf("%s: %v", word, err), firmwareHint}}
		}
	}
	if len(p.Words) > 1 {
		return nil, Problems{{p.Pos(), "no file " + quoted(word), "programs are looked for beside the file that names them"}}
	}
	inner, data, err := l.open(filepath.FromSlash(word), src)
	if err != nil {
		return nil, Problems{l.missing(&Node{Kind: Scalar, Text: word, Pos: p.Pos()}, src, err, LogicKind)}
	}
	var t logicFile
	if err := l.decode(inner, data, &t, nil); err != nil {
		return nil, err
	}
	return TableUnderTest(t.table()), nil
}

// pair is doors from one place and locks from another.
type pair struct{ door, locks *UnderTest }

// Title implements sim.Logic.
func (p pair) Title() string { return p.door.Title() + " and " + p.locks.Title() }

// Controllers implements sim.Logic.
func (p pair) Controllers(bays int, tick float64) (doors []sim.Controller, locks sim.Controller) {
	doors, unused := p.door.Controllers(bays, tick)
	p.door.Return(nil, unused)
	_, locks = p.locks.Controllers(0, tick)
	return doors, locks
}

// Return implements sim.Lender.
func (p pair) Return(doors []sim.Controller, locks sim.Controller) {
	p.door.Return(doors, nil)
	p.locks.Return(nil, locks)
}

func pairOf(door, locks *UnderTest) *UnderTest {
	return &UnderTest{
		Logic: pair{door, locks},
		digest: func() (string, error) {
			a, err := door.Digest()
			b, err2 := locks.Digest()
			if err := errors.Join(err, err2); err != nil {
				return "", err
			}
			return campaign.Digest([]string{a, b})
		},
		close: func() error { return errors.Join(door.Close(), locks.Close()) },
	}
}

// titled is a logic by another name.
type titled struct {
	sim.Logic
	title string
}

// Title implements sim.Logic.
func (t titled) Title() string { return t.title }

// Return implements sim.Lender.
func (t titled) Return(doors []sim.Controller, locks sim.Controller) {
	sim.Return(t.Logic, doors, locks)
}

func renamed(u *UnderTest, title string) *UnderTest {
	if u == nil {
		return nil
	}
	named := *u
	named.Logic = titled{u.Logic, strings.Join(strings.Fields(title), " ")}
	if u.Table != nil {
		t := *u.Table
		t.Name = title
		named.Table = &t
	}
	return &named
}
