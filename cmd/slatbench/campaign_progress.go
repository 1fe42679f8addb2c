package main

import (
	"fmt"
	"io"
	"math"
	"sync/atomic"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
)

// Wall-clock timing of a campaign's progress: how often the line of a terminal is
// brought up to date, and how often a log gets a line.
const (
	newText   = 200 * time.Millisecond
	plainLine = 5 * time.Second
)

// barParts is how finely the bar is divided.
const barParts = 1000

// campaignProgress shows how far a campaign is: a bar on a terminal, elsewhere a
// plain line every few seconds.
type campaignProgress struct {
	to         io.Writer
	every      time.Duration
	began      time.Time
	shown      time.Time // when it was shown last
	from, runs uint64
	limit      time.Duration // 0: none
	done       uint64
	violations int
	words      func(done, of uint64, rate float64, violating int, left float64) string
	bars       *mpb.Progress // nil elsewhere than on a terminal
	bar        *mpb.Bar
	text       atomic.Pointer[string] // the bar is drawn at its own pace
}

func newCampaignProgress(to io.Writer, from, runs uint64, limit time.Duration) *campaignProgress {
	now := time.Now()
	p := &campaignProgress{to: to, every: plainLine, began: now, shown: now, from: from, runs: runs, limit: limit, words: campaignProgressText}
	if isTerminal(to) {
		p.every = newText
		p.bars = mpb.New(mpb.WithOutput(to), mpb.WithWidth(lineWidth))
	}
	return p
}

// show tells that one more run is done.
func (p *campaignProgress) show(violating int) {
	p.done++
	p.violations = violating
	now := time.Now()
	if now.Sub(p.shown) < p.every {
		return
	}
	p.shown = now
	text, share := p.state(now.Sub(p.began))
	if p.bars == nil {
		fmt.Fprintln(p.to, text)
		return
	}
	p.text.Store(&text)
	if p.bar == nil {
		p.bar = p.bars.New(barParts, mpb.BarStyle().Lbound(" ").Filler("=").Tip("=").Padding(".").Rbound(" "),
			mpb.BarRemoveOnComplete(),
			mpb.PrependDecorators(decor.Any(func(decor.Statistics) string { return *p.text.Load() })))
	}
	p.bar.SetCurrent(int64(share * barParts))
}

// state words how far it is, and how far as a share: by whichever of runs and time
// will be over first.
func (p *campaignProgress) state(since time.Duration) (text string, share float64) {
	rate := float64(p.done) / since.Seconds()
	left := float64(p.runs-p.from-p.done) / rate
	share = float64(p.done) / float64(p.runs-p.from)
	of := p.runs
	if p.limit > 0 && p.limit.Seconds()-since.Seconds() < left {
		left = math.Max(0, p.limit.Seconds()-since.Seconds())
		share = math.Min(1, since.Seconds()/p.limit.Seconds())
		of = 0
	}
	return p.words(p.from+p.done, of, rate, p.violations, left), share
}

// close takes the line away.
func (p *campaignProgress) close() {
	if p.bar != nil {
		p.bar.Abort(true)
	}
	if p.bars != nil {
		p.bars.Wait()
	}
}
