package logic

import (
	"fmt"
	"slices"
	"strings"

	"slatbench/sim"
)

// Problem is something wrong with a table.
type Problem struct {
	Path string   // where: door.transitions[3].on
	Text string   // what, and what was expected
	Word string   // the word that is not known, where that is the problem …
	Want []string // … and those that are
}

func (p Problem) String() string { return p.Path + ": " + p.Text }

// Check returns all that is wrong with the table, in its order. A table with no problem compiles.
func (t *Table) Check() []Problem {
	list := checkMachine("door", &t.Door, &DoorWords)
	return append(list, checkMachine("lock", &t.Lock, &LockWords)...)
}

type checker struct {
	where string
	m     *Machine
	words *Vocabulary
	list  []Problem
}

func checkMachine(where string, m *Machine, words *Vocabulary) []Problem {
	c := &checker{where: where, m: m, words: words}
	c.states()
	for i := range m.Transitions {
		c.transition(i)
	}
	if len(c.list) == 0 { // the rest would only repeat what is wrong already
		c.reach()
		c.ways()
		c.overlaps()
	}
	return c.list
}

func (c *checker) add(path, format string, args ...any) {
	c.list = append(c.list, Problem{Path: c.where + "." + path, Text: fmt.Sprintf(format, args...)})
}

// word reports a word that is not among those wanted.
func (c *checker) word(path, what, word string, want []string) {
	if !slices.Contains(want, word) {
		c.list = append(c.list, Problem{
			Path: c.where + "." + path, Text: fmt.Sprintf("unknown %s %q", what, word), Word: word, Want: want,
		})
	}
}

func (c *checker) stateNames() []string {
	list := make([]string, len(c.m.States))
	for i := range c.m.States {
		list[i] = c.m.States[i].Name
	}
	return list
}

func (c *checker) states() {
	all := c.stateNames()
	c.word("start", "state", c.m.Start, all)
	for i := range c.m.States {
		s := &c.m.States[i]
		path := fmt.Sprintf("states[%d]", i)
		switch {
		case s.Name == "" || s.Name == Stay:
			c.add(path+".state", "a state cannot be called %q", s.Name)
		case slices.Index(all, s.Name) != i:
			c.add(path+".state", "state %q stands here a second time", s.Name)
		}
		c.output(path+".drive", s.Drive, c.words.Drives)
		c.output(path+".duty", s.Duty, c.words.Duties)
		c.output(path+".lamp", s.Lamp, Lamps)
		c.output(path+".says", s.Says, doorOnly(c.words, "down"))
		c.output(path+".permit", s.Permit, lockOnly(c.words, "yes", "no"))
	}
}

func doorOnly(w *Vocabulary, words ...string) []string {
	if w == &DoorWords {
		return words
	}
	return nil
}

func lockOnly(w *Vocabulary, words ...string) []string {
	if w == &LockWords {
		return words
	}
	return nil
}

func (c *checker) output(path, word string, want []string) {
	switch {
	case word == "":
	case len(want) == 0:
		c.add(path, "a %s has no such output", c.where)
	default:
		c.word(path, "output", word, want)
	}
}

func (c *checker) transition(i int) {
	t := &c.m.Transitions[i]
	path := fmt.Sprintf("transitions[%d]", i)
	for k, from := range t.From {
		c.word(fmt.Sprintf("%s.from[%d]", path, k), "state", from, c.stateNames())
		if slices.Index(t.From, from) != k {
			c.add(fmt.Sprintf("%s.from[%d]", path, k), "state %q stands here a second time", from)
		}
	}
	if len(t.From) == 0 {
		c.add(path+".from", "no state to start from")
	}
	c.word(path+".on", "event", t.On, names(c.words.Events))
	for k, g := range t.If {
		word := strings.TrimPrefix(g, "not ")
		at := fmt.Sprintf("%s.if[%d]", path, k)
		c.word(at, "guard", word, names(c.words.Guards))
		if slices.Contains(t.If[:k], "not "+word) && g == word || g != word && slices.Contains(t.If[:k], word) {
			c.add(at, "guard %q stands here both ways, so this can never answer", word)
		}
	}
	c.word(path+".to", "state", t.To, append(c.stateNames(), Stay))
	if t.Alarm != "" {
		c.word(path+".alarm", "alarm", t.Alarm, sim.AlarmNames[:])
	}
	for k, d := range t.Do {
		c.word(fmt.Sprintf("%s.do[%d]", path, k), "action", d, names(c.words.Actions))
	}
}

// reach finds states that nothing leads to.
func (c *checker) reach() {
	seen := map[string]bool{c.m.Start: true}
	for grown := true; grown; {
		grown = false
		for _, t := range c.m.Transitions {
			for _, from := range t.From {
				if seen[from] && t.To != Stay && !seen[t.To] {
					seen[t.To], grown = true, true
				}
			}
		}
	}
	for i, s := range c.m.States {
		if !seen[s.Name] {
			c.add(fmt.Sprintf("states[%d].state", i), "state %q cannot be reached from %q", s.Name, c.m.Start)
		}
	}
}

// ways finds states that nothing leads out of.
func (c *checker) ways() {
	for i, s := range c.m.States {
		out := slices.ContainsFunc(c.m.Transitions, func(t Transition) bool {
			return slices.Contains(t.From, s.Name) && t.To != Stay && t.To != s.Name
		})
		if !out {
			c.add(fmt.Sprintf("states[%d].state", i), "state %q has no way out", s.Name)
		}
	}
}

// overlaps finds two answers to one event in one state whose guards can hold together.
func (c *checker) overlaps() {
	for i := range c.m.Transitions {
		for k := range i {
			a, b := &c.m.Transitions[k], &c.m.Transitions[i]
			if a.On != b.On || exclude(a.If, b.If) {
				continue
			}
			for _, from := range b.From {
				if slices.Contains(a.From, from) {
					c.add(fmt.Sprintf("transitions[%d]", i), "answers %q in state %q, and so does transitions[%d]: let their guards exclude each other",
						b.On, from, k)
				}
			}
		}
	}
}

// exclude tells that two lists of guards cannot hold together.
func exclude(a, b []string) bool {
	return slices.ContainsFunc(a, func(g string) bool {
		if word, not := strings.CutPrefix(g, "not "); not {
			return slices.Contains(b, word)
		}
		return slices.Contains(b, "not "+g)
	})
}
