package scenarios

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"reflect"
	"strings"
)

// shippedPrefix marks a file of the shipped set, in messages and in names.
const shippedPrefix = "shipped:"

// A Loader reads files that people edit. A name is looked for beside the file
// that names it (on the command line: from the working directory), then among
// the shipped files. The prefix "shipped:" asks for a shipped file only.
type Loader struct {
	Shipped fs.FS    // may be nil
	Set     []string // changes "path=value", applied last, in order
	// Sealed: only shipped files are opened, whatever a text names. For texts that
	// come from who knows where.
	Sealed bool
}

// A source is an opened file: how messages call it, and what it really is.
type source struct {
	name     string
	identity string
	shipped  bool
}

// Load reads the named file into the struct that target points to. Values that
// target already holds stay where the file says nothing. The error is of type
// Problems.
func (l *Loader) Load(name string, target any) error {
	src, data, err := l.open(name, source{})
	if err != nil {
		problem := l.missing(&Node{Kind: Scalar, Text: name}, source{}, err, kindsOfTarget(target)...)
		return Problems{problem}
	}
	return l.decode(src, data, target, l.Set)
}

// LoadNamed reads a file that a value of another file names, at the given place:
// it is looked for beside that file first. Set is not applied to it.
func (l *Loader) LoadNamed(name string, at Pos, target any) error {
	by := source{name: at.File, shipped: strings.HasPrefix(at.File, shippedPrefix)}
	if at.Line == 0 { // from the command line
		by = source{}
	}
	src, data, err := l.open(name, by)
	if err != nil {
		return Problems{l.missing(&Node{Kind: Scalar, Text: name, Pos: at}, by, err, kindsOfTarget(target)...)}
	}
	return l.decode(src, data, target, nil)
}

// LoadBytes reads a text into target, as Load does. The name stands for it in
// messages and tells the folder that names in it start from.
func (l *Loader) LoadBytes(name string, data []byte, target any) error {
	return l.decode(source{name: name, identity: "text:" + name}, data, target, l.Set)
}

func (l *Loader) decode(src source, data []byte, target any, sets []string) error {
	v := reflect.ValueOf(target)
	if v.Kind() != reflect.Pointer || v.IsNil() || v.Elem().Kind() != reflect.Struct {
		panic("scenarios: a file is loaded into a pointer to a struct")
	}
	s := shapeOfStruct(v.Elem().Type())
	report := &Report{files: []string{src.name}}
	root, err := parseFile(src.name, data)
	if err != nil {
		return err
	}
	if root.Kind != Mapping {
		report.Add(root.Pos, fmt.Sprintf("found %s, expected keys with values such as %s", root.Kind, s.sampleKeys()), "")
		return report.Err()
	}
	if other := otherKind(root, s); other != nil {
		return Problems{other}
	}
	r := &resolver{loader: l, report: report}
	chain := []source{src}
	root = r.structure(root, s, chain)
	if root == nil {
		return report.Err()
	}
	root = r.applySets(root, s, sets)
	d := &Decoder{report: report}
	d.structure(root, s, v.Elem())
	d.finish()
	return report.Err()
}

// open finds and reads a file that the given file names.
func (l *Loader) open(name string, by source) (source, []byte, error) {
	if strings.ContainsRune(name, 0) || name == "" {
		return source{}, nil, fs.ErrNotExist
	}
	if inside, ok := strings.CutPrefix(name, shippedPrefix); ok {
		return l.openShipped(path.Clean(inside))
	}
	if by.shipped {
		folder := path.Dir(strings.TrimPrefix(by.name, shippedPrefix))
		if src, data, err := l.openShipped(path.Join(folder, name)); !errors.Is(err, fs.ErrNotExist) {
			return src, data, err
		}
		return l.openShipped(path.Clean(name))
	}
	if l.Sealed {
		return l.openShipped(path.Clean(filepath.ToSlash(name)))
	}
	src, data, err := openDisk(name, by)
	if errors.Is(err, fs.ErrNotExist) {
		return l.openShipped(path.Clean(filepath.ToSlash(name)))
	}
	return src, data, err
}

func (l *Loader) openShipped(name string) (source, []byte, error) {
	if l.Shipped == nil || !fs.ValidPath(name) {
		return source{}, nil, fs.ErrNotExist
	}
	file, err := l.Shipped.Open(name)
	if err != nil {
		return source{}, nil, err
	}
	defer file.Close()
	data, err := readBounded(file)
	src := source{name: shippedPrefix + name, identity: shippedPrefix + name, shipped: true}
	return src, data, err
}

// openDisk reads a file of the user's. Only the one named on the command line
// may be a pipe: others could block for ever.
func openDisk(name string, by source) (source, []byte, error) {
	if by.name != "" && !filepath.IsAbs(name) {
		name = filepath.Join(filepath.Dir(by.name), name)
	}
	info, err := os.Stat(name)
	switch {
	case err != nil:
		return source{}, nil, err
	case info.IsDir():
		return source{}, nil, errors.New("it is a folder")
	case by.name != "" && !info.Mode().IsRegular():
		return source{}, nil, errors.New("it is no regular file")
	}
	file, err := os.Open(name)
	if err != nil {
		return source{}, nil, err
	}
	defer file.Close()
	data, err := readBounded(file)
	return source{name: name, identity: identity(name)}, data, err
}

// identity is the same for two names of one file, as far as names tell.
func identity(name string) string {
	absolute, err := filepath.Abs(name)
	if err != nil {
		return name
	}
	if real, err := filepath.EvalSymlinks(absolute); err == nil {
		return real
	}
	return absolute
}

// readBounded reads one byte more than allowed, for the parser to refuse.
func readBounded(r io.Reader) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, maxFileBytes+1))
}

// missing words the failure to open a file, which was to be of one of these kinds.
func (l *Loader) missing(name *Node, by source, err error, kinds ...FileKind) *Problem {
	if !errors.Is(err, fs.ErrNotExist) {
		var pathError *fs.PathError
		if errors.As(err, &pathError) {
			err = pathError.Err
		}
		return &Problem{name.Pos, fmt.Sprintf("cannot read %s: %v", quoted(name.Text), err), ""}
	}
	hint := l.hintFor(name.Text, by, kinds)
	switch {
	case hint != "":
	case l.Sealed:
		hint = "a text that comes without its folder can name shipped files only"
	case by.name == "":
		hint = "give the path of a file, or the name of a shipped one"
	default:
		hint = "files are looked for beside the one that names them, then among the shipped ones"
	}
	return &Problem{name.Pos, fmt.Sprintf("no file %s", quoted(name.Text)), hint}
}
