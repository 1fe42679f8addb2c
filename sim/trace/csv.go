package trace

import (
	"bufio"
	"io"
	"strconv"
	"strings"
)

// csv writes comma-separated values (RFC 4180, with lines that end in a line feed): a
// header of names, and a line a sample.
type csv struct {
	out   *bufio.Writer
	kinds []Kind
	cells []cell
	line  []byte
}

func newCSV(w io.Writer) *csv { return &csv{out: bufio.NewWriterSize(w, 1<<16)} }

func (c *csv) begin(h *header) error {
	c.cells = newCells(len(h.columns))
	c.line = append(c.line[:0], Time.Name...)
	for i := range h.columns {
		c.kinds = append(c.kinds, h.columns[i].Kind)
		c.line = append(c.line, ',')
		c.line = append(c.line, h.columns[i].FullName()...)
	}
	return c.write()
}

func (c *csv) put(s *sample) error {
	c.line = strconv.AppendFloat(c.line[:0], s.time, 'f', -1, 64)
	for i := range s.row {
		c.line = append(c.line, ',')
		v := &s.row[i]
		if v.None {
			continue
		}
		switch c.kinds[i] {
		case Real:
			c.cells[i].set(v.Real)
			c.line = append(c.line, c.cells[i].text...)
		case Word:
			c.line = appendField(c.line, v.Word)
		default:
			c.line = strconv.AppendInt(c.line, int64(v.Whole), 10)
		}
	}
	return c.write()
}

func (c *csv) write() error {
	c.line = append(c.line, '\n')
	_, err := c.out.Write(c.line)
	return err
}

func (c *csv) end(int64) error { return c.out.Flush() }

// appendField quotes a word where it must be: names of states are anybody's.
func appendField(line []byte, word string) []byte {
	if !strings.ContainsAny(word, "\",\r\n") {
		return append(line, word...)
	}
	line = append(line, '"')
	for i := 0; i < len(word); i++ {
		if word[i] == '"' {
			line = append(line, '"')
		}
		line = append(line, word[i])
	}
	return append(line, '"')
}
