package trace

import (
	"cmp"
	"io"
	"slices"
	"strconv"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"
)

// Sizes of a Parquet file. What is kept in memory is one row group and, for the index
// at the end of the file, a record a column of every row group: larger groups cost
// more of the first, smaller ones more of the second.
const (
	groupRows = 16384   // 164 s at 10 ms
	pageBytes = 1 << 15 // 4096 numbers
	batchRows = 128     // handed to the library at once
)

// parquetFile writes Apache Parquet, format version 2: one flat column each, named as
// in the CSV header, and what they mean as key-value metadata.
type parquetFile struct {
	out     io.Writer
	writer  *parquet.GenericWriter[any]
	columns []Column // the time first
	batch   [][]parquet.Value
	rows    int // in the row group, those of the batch left out
	words   map[string]parquet.Value
	pending int // rows in the batch
}

func newParquet(w io.Writer) *parquetFile {
	return &parquetFile{out: w, words: map[string]parquet.Value{}}
}

func (p *parquetFile) begin(h *header) error {
	p.columns = append([]Column{Time}, h.columns...)
	options := []parquet.WriterOption{
		schema(p.columns),
		parquet.CreatedBy("slatbench", cmp.Or(h.about.Version, "unknown")+" ", "none"),
		parquet.Compression(&zstd.Codec{Level: zstd.SpeedFastest}),
		parquet.PageBufferSize(pageBytes),
		parquet.KeyValueMetadata("scenario", h.about.Scenario),
		parquet.KeyValueMetadata("seed", strconv.FormatUint(h.seed, 10)),
		parquet.KeyValueMetadata("version", h.about.Version),
		parquet.KeyValueMetadata("step_s", strconv.FormatFloat(h.clock.step, 'g', -1, 64)),
		parquet.KeyValueMetadata("every_ticks", strconv.Itoa(h.about.Every)),
	}
	for i := range p.columns {
		c := &p.columns[i]
		options = append(options, parquet.KeyValueMetadata("meaning:"+c.FullName(), c.Means))
		if c.Unit != "" {
			options = append(options, parquet.KeyValueMetadata("unit:"+c.FullName(), c.Unit))
		}
		p.batch = append(p.batch, make([]parquet.Value, batchRows))
	}
	p.writer = parquet.NewGenericWriter[any](p.out, options...)
	return nil
}

// schema is a flat group of the columns.
func schema(columns []Column) *parquet.Schema {
	g := group{Group: parquet.Group{}, order: map[string]int{}}
	for i := range columns {
		name := columns[i].FullName()
		g.Group[name], g.order[name] = leaf(&columns[i]), i
	}
	return parquet.NewSchema("trace", g)
}

// leaf is the type of a column. What takes few different values is written by dictionary.
func leaf(c *Column) parquet.Node {
	node := parquet.Leaf(parquet.DoubleType)
	switch c.Kind {
	case Whole:
		node = parquet.Encoded(parquet.Leaf(parquet.Int32Type), &parquet.RLEDictionary)
	case Flag:
		node = parquet.Leaf(parquet.BooleanType)
	case Word:
		node = parquet.Encoded(parquet.String(), &parquet.RLEDictionary)
	}
	if c.Lacks {
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

func (p *parquetFile) put(s *sample) error {
	p.batch[0][p.pending] = parquet.DoubleValue(s.time)
	for i := range s.row {
		p.batch[i+1][p.pending] = p.value(i+1, &s.row[i])
	}
	if p.pending++; p.pending < batchRows {
		return nil
	}
	return p.hand()
}

// value is a sample with its level: 1 where an optional column holds something.
func (p *parquetFile) value(column int, v *Value) parquet.Value {
	c := &p.columns[column]
	if v.None {
		return parquet.NullValue().Level(0, 0, column)
	}
	level := 0
	if c.Lacks {
		level = 1
	}
	switch c.Kind {
	case Real:
		return parquet.DoubleValue(v.Real).Level(0, level, column)
	case Flag:
		return parquet.BooleanValue(v.Whole != 0).Level(0, level, column)
	case Word:
		return p.word(v.Word).Level(0, level, column)
	}
	return parquet.Int32Value(v.Whole).Level(0, level, column)
}

// word keeps the bytes of every word that has come up: few, and the same again and again.
func (p *parquetFile) word(s string) parquet.Value {
	v, ok := p.words[s]
	if !ok {
		v = parquet.ByteArrayValue([]byte(s))
		p.words[s] = v
	}
	return v
}

// hand gives the batch to the library, and ends the row group when it is full.
func (p *parquetFile) hand() error {
	for i, c := range p.writer.ColumnWriters() {
		if _, err := c.WriteRowValues(p.batch[i][:p.pending]); err != nil {
			return err
		}
	}
	p.rows += p.pending
	p.pending = 0
	if p.rows < groupRows {
		return nil
	}
	p.rows = 0
	return p.writer.Flush()
}

func (p *parquetFile) end(int64) error {
	if err := p.hand(); err != nil {
		return err
	}
	return p.writer.Close()
}
