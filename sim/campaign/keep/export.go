package keep

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"
)

// Endings are those of the files that runs can be exported to.
var Endings = []string{".csv", ".parquet"}

// Exporter writes runs to somebody else's format.
type exporter interface {
	put(values []value) error
	end() error
}

// Export writes all runs of a file, in the order of their index, in the format that
// the ending of the name stands for.
func (f *File) Export(w io.Writer, name string) error {
	if f.next == 0 {
		return fmt.Errorf("%q holds no runs", f.name)
	}
	columns := Columns()
	var to exporter
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv":
		to = newCSV(w, columns)
	case ".parquet":
		to = newParquet(w, columns, &f.id)
	default:
		return fmt.Errorf("export %q: expected a name that ends in %s", name, strings.Join(Endings, " or "))
	}
	var values []value
	err := f.Each(math.MaxInt64, func(run *Run) error {
		values = f.fill(values, run)
		return to.put(values)
	})
	if end := to.end(); err == nil { // one trouble is enough
		err = end
	}
	return err
}

// csv writes comma-separated values (RFC 4180, lines end in a line feed).
type csv struct {
	out     *bufio.Writer
	columns []Column
}

func newCSV(w io.Writer, columns []Column) *csv {
	c := &csv{out: bufio.NewWriterSize(w, 1<<16), columns: columns}
	for i := range columns {
		c.field(i, columns[i].Name)
	}
	c.out.WriteByte('\n')
	return c
}

func (c *csv) field(i int, text string) {
	if i > 0 {
		c.out.WriteByte(',')
	}
	if strings.ContainsAny(text, "\",\r\n") {
		text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	c.out.WriteString(text) // errors stay in out until Flush
}

func (c *csv) put(values []value) error {
	for i := range values {
		c.field(i, values[i].text(c.columns[i].kind))
	}
	return c.out.WriteByte('\n')
}

func (v *value) text(k kind) string {
	switch {
	case v.none:
		return ""
	case k == whole:
		return strconv.FormatInt(v.whole, 10)
	case k == real:
		return strconv.FormatFloat(v.real, 'g', -1, 64)
	}
	return v.word
}

func (c *csv) end() error { return c.out.Flush() }

// Sizes of a Parquet file: what is held in memory is one row group.
const (
	groupRows = 16384
	pageBytes = 1 << 15
)

// parquetFile writes Apache Parquet: a flat column each, in the order of the CSV.
type parquetFile struct {
	writer  *parquet.GenericWriter[any]
	columns []Column
	batch   [][]parquet.Value // by column
	rows    int               // in the batch
	group   int               // in the row group
}

const batchRows = 256

func newParquet(w io.Writer, columns []Column, id *Identity) *parquetFile {
	g := group{Group: parquet.Group{}, order: map[string]int{}}
	for i := range columns {
		g.Group[columns[i].Name], g.order[columns[i].Name] = leaf(&columns[i]), i
	}
	options := []parquet.WriterOption{
		parquet.NewSchema("campaign", g),
		parquet.CreatedBy("slatbench", cmp.Or(id.Version, "unknown")+" ", "none"),
		parquet.Compression(&zstd.Codec{Level: zstd.SpeedFastest}),
		parquet.PageBufferSize(pageBytes),
	}
	for _, m := range id.marks() {
		options = append(options, parquet.KeyValueMetadata(m.key, m.value))
	}
	for i := range columns {
		options = append(options, parquet.KeyValueMetadata("meaning:"+columns[i].Name, columns[i].Means))
		if columns[i].Unit != "" {
			options = append(options, parquet.KeyValueMetadata("unit:"+columns[i].Name, columns[i].Unit))
		}
	}
	p := &parquetFile{writer: parquet.NewGenericWriter[any](w, options...), columns: columns}
	for range columns {
		p.batch = append(p.batch, make([]parquet.Value, batchRows))
	}
	return p
}

func leaf(c *Column) parquet.Node {
	node := parquet.Leaf(parquet.DoubleType)
	switch c.kind {
	case whole:
		node = parquet.Leaf(parquet.Int64Type)
	case word:
		node = parquet.String()
		if c.Name != "final_hash" && c.Name != "transitions" { // few words, again and again
			node = parquet.Encoded(node, &parquet.RLEDictionary)
		}
	}
	if c.lacks {
		return parquet.Optional(node)
	}
	return node
}

// group keeps the columns in their order; the library's own sorts them by name.
type group struct {
	parquet.Group
	order map[string]int
}

func (g group) Fields() []parquet.Field {
	fields := g.Group.Fields()
	slices.SortFunc(fields, func(a, b parquet.Field) int { return g.order[a.Name()] - g.order[b.Name()] })
	return fields
}

func (p *parquetFile) put(values []value) error {
	for i := range values {
		p.batch[i][p.rows] = p.value(i, &values[i])
	}
	if p.rows++; p.rows < batchRows {
		return nil
	}
	return p.hand()
}

func (p *parquetFile) value(column int, v *value) parquet.Value {
	c := &p.columns[column]
	if v.none {
		return parquet.NullValue().Level(0, 0, column)
	}
	level := 0
	if c.lacks {
		level = 1
	}
	switch c.kind {
	case whole:
		return parquet.Int64Value(v.whole).Level(0, level, column)
	case real:
		return parquet.DoubleValue(v.real).Level(0, level, column)
	}
	return parquet.ByteArrayValue([]byte(v.word)).Level(0, level, column)
}

func (p *parquetFile) hand() error {
	for i, c := range p.writer.ColumnWriters() {
		if _, err := c.WriteRowValues(p.batch[i][:p.rows]); err != nil {
			return err
		}
	}
	p.group += p.rows
	p.rows = 0
	if p.group < groupRows {
		return nil
	}
	p.group = 0
	return p.writer.Flush()
}

func (p *parquetFile) end() error {
	err := p.hand()
	if end := p.writer.Close(); err == nil {
		err = end
	}
	return err
}
