package keep

import (
	"encoding/binary"
	"errors"
	"math"

	"slatbench/sim/require"
)

// The results of a run are one blob: for each requirement in the order of
// require.IDs a head byte, and, unless that is 0 (not exercised, nothing near it),
// what the head announces. Nothing is rounded: what is read is what was written.
const (
	verdictBits = 0x07
	hasClause   = 0x08 // clause, margin and step follow
	hasBay      = 0x10
	hasSide     = 0x20
	hasShare    = 0x40 // a share that is not margin / scale
)

var errResults = errors.New("the results of a run make no sense")

// codec knows the clauses by number.
type codec struct {
	clauses []require.Clause
	number  map[[2]string]byte // by requirement and word
}

func newCodec() *codec {
	c := &codec{clauses: require.Clauses(), number: map[[2]string]byte{}}
	for i := range c.clauses {
		c.number[[2]string{c.clauses[i].Requirement, c.clauses[i].Word}] = byte(i)
	}
	return c
}

// encode appends the blob of results. A run that could not be played has none.
func (c *codec) encode(b []byte, results []require.Result) ([]byte, error) {
	for i := range results {
		var err error
		if b, err = c.put(b, &results[i]); err != nil {
			return nil, err
		}
	}
	return b, nil
}

func (c *codec) put(b []byte, r *require.Result) ([]byte, error) {
	head := byte(r.Verdict)
	var clause byte
	if r.Clause != "" {
		var ok bool
		if clause, ok = c.number[[2]string{r.ID, r.Clause}]; !ok {
			return nil, errors.New("requirement " + r.ID + " has no clause " + r.Clause)
		}
		head |= hasClause
		if !same(r.Margin/c.clauses[clause].Scale, r.Share) {
			head |= hasShare
		}
	}
	if r.Bay >= 0 {
		head |= hasBay
	}
	if r.Side >= 0 {
		head |= hasSide
	}
	b = append(b, head)
	if head == 0 {
		return b, nil
	}
	b = binary.AppendUvarint(b, uint64(r.Tests))
	if head&hasClause != 0 {
		b = append(b, clause)
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(r.Margin))
		b = binary.AppendUvarint(b, uint64(r.At))
	}
	if head&hasShare != 0 {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(r.Share))
	}
	if head&hasBay != 0 {
		b = append(b, byte(r.Bay))
	}
	if head&hasSide != 0 {
		b = append(b, byte(r.Side))
	}
	if r.Verdict == require.Exempt {
		b = append(b, exemption(r.Exemption))
	}
	return b, nil
}

// same compares bits, so that NaN equals itself.
func same(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }

// exemption is the place of an exemption in the list, from 1; 0 is none.
func exemption(e *require.Exemption) byte {
	for i := range require.Exemptions {
		if e == &require.Exemptions[i] {
			return byte(i + 1)
		}
	}
	return 0
}

// decode reads a blob into results, which it reuses. An empty one gives none.
func (c *codec) decode(results []require.Result, b []byte) ([]require.Result, error) {
	results = results[:0]
	if len(b) == 0 {
		return results, nil
	}
	r := reader{b: b}
	for _, id := range require.IDs {
		results = append(results, c.take(&r, id))
	}
	if r.bad || len(r.b) > 0 {
		return nil, errResults
	}
	return results, nil
}

func (c *codec) take(b *reader, id string) require.Result {
	head := b.byte()
	r := require.Result{ID: id, Verdict: require.Verdict(head & verdictBits), Margin: math.NaN(), Share: math.NaN(), Bay: -1, Side: -1}
	if head == 0 {
		return r
	}
	if r.Verdict > require.Measured {
		b.bad = true
		return r
	}
	r.Tests = int(b.uvarint())
	if head&hasClause != 0 {
		k := int(b.byte())
		if k >= len(c.clauses) || c.clauses[k].Requirement != id {
			b.bad = true
			return r
		}
		r.Clause, r.Unit = c.clauses[k].Word, c.clauses[k].Unit
		r.Margin = b.float()
		r.At = int64(b.uvarint())
		r.Share = r.Margin / c.clauses[k].Scale
	}
	if head&hasShare != 0 {
		r.Share = b.float()
	}
	if head&hasBay != 0 {
		r.Bay = int(b.byte())
	}
	if head&hasSide != 0 {
		r.Side = int(b.byte())
	}
	if r.Verdict == require.Exempt {
		if i := int(b.byte()); i > len(require.Exemptions) {
			b.bad = true
		} else if i > 0 {
			r.Exemption = &require.Exemptions[i-1]
		}
	}
	return r
}

// reader takes a blob apart. After its end it gives zeros and is bad.
type reader struct {
	b   []byte
	bad bool
}

func (r *reader) byte() byte {
	if len(r.b) == 0 {
		r.bad = true
		return 0
	}
	c := r.b[0]
	r.b = r.b[1:]
	return c
}

func (r *reader) uvarint() uint64 {
	x, n := binary.Uvarint(r.b)
	if n <= 0 {
		r.bad, r.b = true, nil
		return 0
	}
	r.b = r.b[n:]
	return x
}

func (r *reader) float() float64 {
	if len(r.b) < 8 {
		r.bad, r.b = true, nil
		return 0
	}
	x := binary.LittleEndian.Uint64(r.b)
	r.b = r.b[8:]
	return math.Float64frombits(x)
}

// words are the bits of transitions, eight bytes each; trailing zeros are kept, so
// that as many come back.
func encodeWords(bits []uint64) []byte {
	if bits == nil {
		return nil
	}
	b := make([]byte, 0, 8*len(bits))
	for _, w := range bits {
		b = binary.LittleEndian.AppendUint64(b, w)
	}
	return b
}

func decodeWords(b []byte) ([]uint64, error) {
	if b == nil {
		return nil, nil
	}
	if len(b)%8 != 0 {
		return nil, errResults
	}
	bits := make([]uint64, 0, len(b)/8)
	for ; len(b) > 0; b = b[8:] {
		bits = append(bits, binary.LittleEndian.Uint64(b))
	}
	return bits, nil
}
