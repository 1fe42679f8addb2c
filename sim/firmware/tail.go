package firmware

import (
	"strings"
	"sync"
)

// tailSize is how much of what a controller says is kept, in bytes: the end, where
// it says what went wrong.
const tailSize = 4096

// tail keeps the end of what is written to it.
type tail struct {
	mu   sync.Mutex
	text []byte
}

// Write implements io.Writer.
func (t *tail) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	n := len(p)
	p = p[max(0, len(p)-tailSize):]
	if over := len(t.text) + len(p) - tailSize; over > 0 {
		t.text = t.text[:copy(t.text, t.text[min(over, len(t.text)):])]
	}
	t.text = append(t.text, p...)
	return n, nil
}

// said is the first lines of it, on one line, for a message.
func (t *tail) said() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	const most = 3 // lines: what follows is a trace of calls
	var lines []string
	for line := range strings.Lines(string(t.text)) {
		if line = strings.TrimSpace(line); line != "" && len(lines) < most {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "; ")
}

// copied is all that is kept, and put puts it back.
func (t *tail) copied() []byte {
	t.mu.Lock()
	defer t.mu.Unlock()
	return append([]byte(nil), t.text...)
}

func (t *tail) put(text []byte) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.text = append(t.text[:0], text...)
}
