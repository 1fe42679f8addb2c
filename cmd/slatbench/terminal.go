package main

import (
	"io"
	"os"
	"time"

	"github.com/vbauerster/cupwriter"
	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"slatbench/sim"
)

// isTerminal tells whether what is written to w is read by a person.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && cupwriter.New(f, false).IsTerminal()
}

// pen colours text, or does not. Colour only repeats what words say.
type pen struct{ colour bool }

// newPen colours on a terminal, unless NO_COLOR is set to anything or the
// terminal is said to be dumb.
func newPen(w io.Writer) pen {
	return pen{isTerminal(w) && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"}
}

// The renditions in use, as numbers of ECMA-48 SGR.
const (
	plain  = ""
	strong = "1"
	faint  = "2"
	bad    = "1;31"
	good   = "32"
	odd    = "33"
)

func (p pen) draw(rendition, text string) string {
	if !p.colour || rendition == plain || text == "" {
		return text
	}
	return "\x1b[" + rendition + "m" + text + "\x1b[0m"
}

// Wall-clock timing of the progress line: it appears when a run has taken so
// long, and is brought up to date every so many ticks.
const (
	longRun      = time.Second
	progressStep = 512
)

// progress is an observer that shows how far a long run is, on a terminal only.
type progress struct {
	to    io.Writer
	began time.Time
	ticks int
	bars  *mpb.Progress
	bar   *mpb.Bar
}

func newProgress(to io.Writer) *progress { return &progress{to: to, began: time.Now()} }

// Tick implements sim.Observer.
func (p *progress) Tick(b *sim.Bench) {
	if p.ticks++; p.ticks%progressStep != 0 {
		return
	}
	if p.bar == nil {
		if time.Since(p.began) < longRun {
			return
		}
		p.bars = mpb.New(mpb.WithOutput(p.to), mpb.WithWidth(progressWidth))
		p.bar = p.bars.New(b.Duration(), mpb.BarStyle().Lbound(" ").Filler("=").Tip("=").Padding(".").Rbound(" "),
			mpb.BarRemoveOnComplete(),
			mpb.PrependDecorators(decor.Any(func(s decor.Statistics) string {
				return progressText(b.Seconds(s.Current), b.Seconds(s.Total))
			})))
	}
	p.bar.SetCurrent(b.Now)
}

// Close takes the line away.
func (p *progress) Close() {
	if p.bar != nil {
		p.bar.Abort(true)
		p.bars.Wait()
	}
}
