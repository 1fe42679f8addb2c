package report

// maxSpans is how many spans a band keeps at the most.
const maxSpans = 2000

// Span is a time in which one word was true.
type Span struct {
	From, To int64 // steps
	Word     string
	// Changes is how many spans were joined into this one because they were too
	// short to keep; 0 in one that is as it was.
	Changes int
}

// Band is what a word was at any time: the state of a controller, say. Words are
// kept span by span; when there are too many, the shortest neighbours are joined
// into one that says how many they were. Memory stays, and a change is never lost.
type Band struct {
	spans []Span
	brief int64 // steps: what is shorter has been joined
}

// Set tells the word from a step on. An empty word is no span, but keeps its time.
func (b *Band) Set(step int64, word string) {
	if n := len(b.spans); n > 0 {
		last := &b.spans[n-1]
		if last.Word == word && last.Changes == 0 {
			return
		}
		last.To = step
	}
	if len(b.spans) >= maxSpans {
		b.join()
	}
	b.spans = append(b.spans, Span{From: step, To: step, Word: word})
}

// join merges neighbours that are brief until half of the room is free.
func (b *Band) join() {
	b.brief = max(b.brief, 1)
	for {
		b.merge()
		if len(b.spans) <= maxSpans/2 {
			return
		}
		b.brief *= 2
	}
}

// merge joins neighbours that are both brief.
func (b *Band) merge() {
	kept := b.spans[:0]
	for _, s := range b.spans {
		n := len(kept)
		if n > 0 && b.joins(&kept[n-1], &s) {
			kept[n-1] = Span{kept[n-1].From, s.To, several, kept[n-1].changes() + s.changes()}
			continue
		}
		kept = append(kept, s)
	}
	b.spans = kept
}

// several is the word of a span that was joined from others.
const several = "several"

// joins tells whether two neighbours are both too brief to stay apart. What they
// make together may be longer by one brief span only, so that long times of one
// word stay what they are.
func (b *Band) joins(a, s *Span) bool {
	return s.To-s.From < b.brief && a.To-a.From < b.brief
}

func (s *Span) changes() int { return max(s.Changes, 1) }

// Finish ends the last span, and returns all that have a word.
func (b *Band) Finish(step int64) []Span {
	if n := len(b.spans); n > 0 {
		b.spans[n-1].To = step
	}
	var list []Span
	for _, s := range b.spans {
		if s.Word != "" && s.To > s.From {
			list = append(list, s)
		}
	}
	return list
}
