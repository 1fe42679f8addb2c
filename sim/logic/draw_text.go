package logic

import "strings"

// Sizes of the picture's letters, in units of the picture (pixels on a screen).
const (
	nameSize  = 14.0
	nameWide  = 1.12 // bold letters are wider
	textSize  = 12.0
	lineSpace = 16.0
)

// letterWidths is how wide the letters of a wide sans serif face are, as parts of their
// size; all others count as wide, too. A browser with a narrower face leaves some room.
var letterWidths = map[float64]string{
	0.32: "ijl.,:;'|!·",
	0.42: "frtI-()[]/ ",
	0.58: "sczkvxyJ",
	0.65: "abdeghnopqu0123456789_L",
	0.80: "ABCDEFGHKNOPQRSTUVXYZ",
	0.84: "w+−≠→",
	1.00: "mMW%@",
}

var widthOf = func() map[rune]float64 {
	m := map[rune]float64{}
	for w, letters := range letterWidths {
		for _, r := range letters {
			m[r] = w
		}
	}
	return m
}()

// textWidth is about how wide a text gets, rather more than less.
func textWidth(text string, size float64) float64 {
	w := 0.0
	for _, r := range text {
		if k, ok := widthOf[r]; ok {
			w += k * size
		} else {
			w += size
		}
	}
	return w
}

// wrapText breaks a text at spaces so that no line gets wider. A longer word stays whole.
func wrapText(text string, size, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case textWidth(line+" "+word, size) <= width:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
	}
	if line == "" {
		return lines
	}
	return append(lines, line)
}

// token is a piece of a text that stays on one line, with its mark.
type token struct {
	text string
	mark Mark
}

// wrapTokens sets pieces one after the other, a space apart, in lines of some width.
func wrapTokens(list []token, size, width float64) (lines [][]token) {
	room := 0.0
	for _, t := range list {
		w := textWidth(t.text+" ", size)
		if len(lines) == 0 || w > room {
			lines, room = append(lines, nil), width
		}
		last := len(lines) - 1
		lines[last] = append(lines[last], t)
		room -= w
	}
	return lines
}

func lineWidth(line []token, size float64) (w float64) {
	for _, t := range line {
		w += textWidth(t.text+" ", size)
	}
	return w
}
