package live

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"slatbench/scenarios"
	"slatbench/sim"
)

// TestPage tries the page in a real browser. Every test has a truck of its own, and fails
// where the page writes an error to the console.
func TestPage(t *testing.T) {
	browser := openBrowser(t)
	address := serveTo(t, Config{})
	for _, c := range []struct {
		name string
		try  func(t *testing.T, browser context.Context, address string)
	}{
		{"a door is operated", operated},
		{"an obstruction turns it", obstructed},
		{"a fault is laid and mended", mended},
		{"what was done replays", replaysAsSaved},
		{"two pages have two trucks", apart},
		{"the keyboard is enough", byKeys},
		{"files are opened", openedFiles},
		{"a broken connection is told", connectedAgain},
		{"on a phone", onPhone},
		{"a lesson from start to end", taught},
	} {
		t.Run(c.name, func(t *testing.T) { c.try(t, browser, address) })
	}
	t.Run("a violation is marked", func(t *testing.T) { violation(t, browser) })
	t.Run("there are no more trucks", func(t *testing.T) { full(t, browser) })
	if *screens {
		pictures(t, browser, address)
	}
}

func operated(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address, 1440, 900)
	p.hurry()
	p.shows("C1", "down")
	p.click("#press")
	p.happened("press", "C1")
	p.shows("C1", "open")
	p.until(`parseFloat(document.querySelector('[data-reading="height"] dd').textContent) > 1.7`, "the reading of an open door")
	contains(t, "the side view", ask[string](p, `document.getElementById('bay').getAttribute('aria-label')`), "C1", "open")
	p.until(`document.getElementById('speak').textContent.includes('C1')`, "a word for the screen reader")
	p.until(curveRises+` > 0.7`, "a curve that rises from the floor to the open stop")
	if wide := ask[float64](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
		t.Errorf("the page is %g px too wide", wide)
	}
}

// curveRises is which share of its strip's height the curve of the true height spans.
const curveRises = `(() => {
	const strip = document.querySelector('[data-strip="height"] canvas'), wide = strip.width - 60, high = strip.height - 16;
	const pen = Object.assign(document.createElement('canvas'), { width: wide, height: high }).getContext('2d', { willReadFrequently: true });
	pen.drawImage(strip, -47, -8);
	const dots = pen.getImageData(0, 0, wide, high).data;
	let top = high, low = 0;
	for (let i = 0; i < dots.length; i += 4) {
		if (dots[i + 3] < 150 || dots[i + 2] - dots[i] < 50) continue; // the blue of the true height
		const y = Math.floor(i / 4 / wide);
		top = Math.min(top, y);
		low = Math.max(low, y);
	}
	return (low - top) / high;
})()`

func obstructed(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address, 1440, 900)
	p.hurry()
	p.click("#press")
	p.shows("C1", "open")
	p.click("#obstacle")
	p.until(bay("C1", "obstacle_m")+" > 0.29", "a crate under the door")
	p.click("#press")
	p.happened("state", "closing")
	p.happened("alarm", "3 pulses")
	p.happened("state", "rising")
	p.shows("C1", "open")
	contains(t, "the alarm", p.text("#alarm"), "3", "obstruction")
	for _, id := range []string{"close-cut", "obstruction-reversal"} {
		p.until(fmt.Sprintf(`document.querySelector('[data-requirement="%s"]').dataset.state === 'holds'`, id), id+" holds")
	}
	contains(t, "the alert", ask[string](p, `document.getElementById('shout').textContent`), "3 pulses")

	p.do(chromedp.Click(`#events [data-kind="alarm"] button`))
	p.until(`!document.getElementById('back').hidden`, "looking back")
	p.until(`parseFloat(document.querySelector('[data-reading="height"] dd').textContent) < 0.35`, "the door on the crate again")
	p.click("#backLive")
	p.until(`document.getElementById('back').hidden && parseFloat(document.querySelector('[data-reading="height"] dd').textContent) > 1.7`, "now")
}

func mended(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address, 1440, 900)
	p.hurry()
	p.do(chromedp.SendKeys("#faultSearch", "weak counter"))
	p.until(`[...document.querySelectorAll('.fault')].filter(f => f.checkVisibility()).length === 1`, "one fault that is found")
	p.click(`[data-fault="weak-counterbalance"]`)
	p.until(`document.querySelector('[data-fault="weak-counterbalance"]').getAttribute('aria-checked') === 'true'`, "the fault is on")
	contains(t, "what is wrong", p.text("#nowWrong"), "C1", "weak counterbalance")
	p.click("#mendAll")
	p.until(`document.getElementById('nowWrong').textContent.includes('Nothing is wrong')`, "all is mended")
	p.click("#power")
	p.until(`document.querySelector('[data-bay="C1"] .bay-state').textContent === 'no power'`, "a truck without power")
	p.click("#power")
	p.shows("C1", "down")
}

// replaysAsSaved: what was done in the page is saved, and the file plays the same run by
// the code of `slatbench run`: the heights of all bays are those that the page was sent.
func replaysAsSaved(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address, 1440, 900)
	folder := t.TempDir()
	p.downloads(folder)
	p.click("#press")
	p.until(bay("C1", "height_m")+" > 0.2", "C1 on its way")
	p.click(`[data-bay="R2"]`)
	p.click("#press")
	p.until(bay("R2", "height_m")+" > 0.2", "R2 on its way")
	p.hurry()
	p.shows("C1", "open")
	p.click(`[data-bay="C1"]`)
	p.click("#obstacle")
	p.click("#press")
	p.happened("alarm", "3 pulses")
	p.shows("C1", "open")
	p.click("#run")
	p.until(`heard.last.running === false`, "a pause")
	p.click("#saveButton")
	file := downloaded(t, folder)

	heights := playSaved(t, file)
	var heard struct {
		T    []float64   `json:"t"`
		Rows [][]float64 `json:"rows"`
	}
	if err := json.Unmarshal([]byte(ask[string](p, `JSON.stringify({ t: heard.t, rows: heard.rows })`)), &heard); err != nil {
		t.Fatal(err)
	}
	compared := 0
	for i, at := range heard.T {
		want, ok := heights[int64(math.Round(at*1000))]
		if !ok {
			continue
		}
		for b := range want {
			if math.Abs(want[b]-heard.Rows[i][b]) > 0.00006 {
				t.Fatalf("at %.3f s bay %d is at %.5f m when replayed, and was at %.5f m in the page", at, b, want[b], heard.Rows[i][b])
			}
		}
		compared++
	}
	if compared < 200 {
		t.Errorf("only %d of %d samples could be compared", compared, len(heard.T))
	}
}

// heightsKept are the heights of all bays at every tick, by ms.
type heightsKept map[int64][]float64

func (h heightsKept) Step(*sim.Bench) {}

func (h heightsKept) Tick(b *sim.Bench) {
	row := make([]float64, len(b.Truck.Bays))
	for i := range row {
		row[i] = b.Truck.Bays[i].Height
	}
	h[int64(math.Round(b.Seconds(b.Now)*1000))] = row
}

func playSaved(t *testing.T, file string) heightsKept {
	t.Helper()
	l := &scenarios.Loader{Shipped: scenarios.Shipped()}
	sc, err := l.LoadScenario(file)
	if err != nil {
		t.Fatal(err)
	}
	under, err := l.LoadUnderTestOf(sc)
	if err != nil {
		t.Fatal(err)
	}
	defer under.Close()
	kept := heightsKept{}
	if _, err := scenarios.Run(sc, under.Logic, scenarios.RunOptions{Watch: []sim.Observer{kept}}); err != nil {
		t.Fatal(err)
	}
	return kept
}

func apart(t *testing.T, browser context.Context, address string) {
	one := openTab(t, browser, address, 1440, 900)
	two := openTab(t, browser, address, 1440, 900)
	two.hurry()
	one.front()
	one.hurry()
	one.click("#press")
	one.shows("C1", "open")
	two.front()
	two.click(`[data-bay="C2"]`)
	two.key(" ") // after a click on a bay it presses the remote there
	two.shows("C2", "open")
	two.shows("C1", "down")
	one.front()
	one.shows("C2", "down")
	two.front()
	if n := ask[int](two, `document.querySelectorAll('#events [data-kind="press"]').length`); n != 1 {
		t.Errorf("the second page lists %d presses, of which one is its own", n)
	}
}

func byKeys(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address, 1440, 900)
	p.key("]")
	p.until(`heard.last.speed === 10`, "ten times the speed")
	p.key("2")
	p.until(`document.getElementById('bayName').textContent === 'C2'`, "C2 is selected")
	p.key(" ")
	p.shows("C2", "open")
	p.key("c")
	p.until(bay("C2", "obstacle_m")+" > 0.29", "a crate under C2")
	p.key(" ")
	p.happened("alarm", "C2 sounds an alarm: 3 pulses")
	p.shows("C2", "open")
	p.key(kb.ArrowLeft)
	p.until(`!document.getElementById('back').hidden`, "looking back")
	p.key("l")
	p.until(`document.getElementById('back').hidden`, "now")
	p.key("p")
	p.until(`heard.last.running === false`, "a pause")
	before := ask[float64](p, `heard.last.t`)
	p.key(".")
	p.until(fmt.Sprintf(`Math.abs(heard.last.t - %g - heard.bench.tick_s) < 1e-6`, before), "one tick more")
	p.key("?")
	p.until(`document.getElementById('keysDialog').open`, "the list of keys")
	contains(t, "the list of keys", p.text("#keysDialog"), "Space", "press the remote")
	p.key(kb.Escape)
	p.until(`!document.getElementById('keysDialog').open`, "no list of keys")

	// Round the page with the tabulator: every stop can be seen, and has a name.
	p.key(kb.Tab)
	for range 30 {
		if bad := ask[string](p, focusSeen); bad != "" {
			t.Error(bad)
		}
		p.key(kb.Tab)
	}
	if bad := ask[string](p, nameless); bad != "" {
		t.Errorf("without a name for a screen reader: %s", bad)
	}
}

const focusSeen = `(() => {
	const a = document.activeElement, s = getComputedStyle(a);
	if (a === document.body) return '';
	return s.outlineStyle === 'none' || parseFloat(s.outlineWidth) < 2 ? 'no focus to be seen on ' + a.outerHTML.slice(0, 120) : '';
})()`

// nameless are controls without text, label or title that a screen reader could say.
const nameless = `[...document.querySelectorAll('button, input, select, summary')].filter(n =>
	!n.closest('[hidden]') && !(n.innerText || n.textContent).trim() && !n.getAttribute('aria-label') && !n.labels?.length && !n.title).map(n => n.outerHTML.slice(0, 100)).join('; ')`

func openedFiles(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address, 1440, 900)
	p.drop("mine.yaml", "scenario: Mine, dropped\ntruck: trucks/produce-4bay.yaml\nduration: 20 s\nsteps:\n  - {at: 0.5 s, press: R1}\n")
	p.until(`document.getElementById('title').textContent === 'Mine, dropped'`, "the dropped scenario")
	p.hurry()
	p.shows("R1", "open")
	p.until(`heard.last.why === 'end'`, "its end")
	p.drop("wrong.yaml", "scenario: Wrong\ntruk: trucks/produce-4bay.yaml\nduration: 20 s\n")
	p.until(`document.getElementById('notice').textContent.includes('wrong.yaml:2')`, "the place of the mistake")
	contains(t, "the notice", p.text("#notice"), "truk", "truck")
	if title := p.text("#title"); title != "Mine, dropped" {
		t.Errorf("a file that cannot be opened leaves %q", title)
	}
	p.click("#openButton")
	p.do(chromedp.Click(`[data-open="demo/morning-stop.yaml"]`))
	p.until(`document.getElementById('title').textContent.includes('crate on the sill')`, "a scenario from the list")
}

// connectedAgain: a page whose connection breaks offers to connect again, whatever is
// clicked meanwhile, opens what was open, and says that the truck is another one.
func connectedAgain(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address+"?scenario=demo/morning-stop.yaml", 1440, 900)
	p.until(`heard.last.t > 0.5`, "a run that has begun")
	p.click("#openButton")
	p.do(chromedp.Click(`[data-open="demo/two-doors.yaml"]`))
	p.until(`document.getElementById('title').textContent === 'Two doors at once'`, "another scenario")
	ask[bool](p, `(() => { heard.wire.close(); return true; })()`)
	p.until(`document.querySelector('#notice button')?.textContent === 'Connect again'`, "the offer to connect again")
	p.click("#press")
	p.until(`document.getElementById('notice').textContent.includes('not connected')`, "the word that nothing was pressed")
	ask[bool](p, `(() => { heard.last = null; return true; })()`)
	p.click("#notice button")
	p.until(`heard.last !== null && heard.last.t < 30`, "a truck again")
	p.until(`document.getElementById('notice').textContent.includes('new truck')`, "the word that it is another one")
	if title := p.text("#title"); title != "Two doors at once" {
		t.Errorf("after connecting again %q is open", title)
	}
}

func onPhone(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address, 390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch)
	p.hurry()
	p.do(chromedp.ScrollIntoView("#press"), chromedp.Tap("#press"))
	p.shows("C1", "open")
	if wide := ask[float64](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
		t.Errorf("the page is %g px too wide", wide)
	}
	if small := ask[string](p, smallTargets); small != "" {
		t.Errorf("too small for a finger: %s", small)
	}
}

// smallTargets are buttons that a finger would miss.
const smallTargets = `[...document.querySelectorAll('main button')].filter(b => b.checkVisibility() && b.getBoundingClientRect().height < 24).map(b => b.outerHTML.slice(0, 90)).join('; ')`

// taught plays the lesson on retraining as a learner does, with one wrong prediction, and
// is told that the door is cured.
func taught(t *testing.T, browser context.Context, address string) {
	p := openTab(t, browser, address+"?lesson=lessons/retraining.yaml", 1440, 900)
	phase := func(step int, name string) {
		t.Helper()
		p.until(fmt.Sprintf(`document.getElementById('lesson').dataset.step === '%d' && document.getElementById('lesson').dataset.phase === '%s'`, step, name), fmt.Sprintf("step %d, %s", step, name))
	}
	next := func() { t.Helper(); p.click("#lessonNext") }
	answer := func(words string) {
		t.Helper()
		ask[bool](p, fmt.Sprintf(`(() => { [...document.querySelectorAll('[data-choice]')].find(b => b.innerText.includes(%q)).click(); return true; })()`, words))
	}
	p.until(`document.querySelector('[data-fault]').checkVisibility() === false`, "the fault switches are hidden")
	if strips := ask[string](p, `[...document.querySelectorAll('[data-strip]')].slice(0, 4).map(s => s.dataset.strip).join()`); strips != "height,state,current,supply" {
		t.Errorf("the first strips are %s, not those that the lesson asks for", strips)
	}
	p.hurry()
	p.click("#press")
	phase(1, "told")
	next()
	phase(2, "asking")
	if ask[bool](p, `heard.last.running`) {
		t.Error("the truck runs on before the prediction is made")
	}
	answer("Above it")
	phase(2, "told")
	p.until(bay("C1", "counted_m")+" - "+bay("C1", "height_m")+" >= 0.099", "true and counted height apart")
	p.picture("lesson.png")
	next()
	phase(3, "asking")
	answer("takes the floor for something in its way")
	phase(3, "told")
	p.happened("alarm", "4 pulses")
	next()
	phase(4, "waiting")
	p.click(`[data-job="set the gap"]`)
	phase(5, "asking")
	answer("Yes. The cause is gone.")
	phase(5, "told")
	contains(t, "the answer to a wrong prediction", p.text(".lesson-body"), "Not so", "its trace is not")
	next()
	phase(6, "finding")
	p.click("#retrain")
	phase(6, "told")
	next()
	phase(7, "ready")
	next()
	phase(7, "passed")
	contains(t, "the end of the lesson", p.text("#lesson"), "Cured", "2 of 3 foretold")
	p.until(`Math.abs(`+bay("C1", "counted_m")+` - `+bay("C1", "height_m")+`) < 0.016`, "true and counted height together")
}

// pictures are those of the README: a crate under the door, the same in dark colours and
// seen in the past, and on a phone.
func pictures(t *testing.T, browser context.Context, address string) {
	stop := func(p *tab, at float64) {
		p.until(fmt.Sprintf(`heard.last.t > %g`, at), "its time")
		p.key("p")
		p.until(`heard.last.running === false`, "a pause")
	}
	p := openTab(t, browser, address+"?scenario=demo/morning-stop.yaml", 1440, 900)
	stop(p, 20.15)
	p.picture("bench.png")
	p.key("p")
	p.key("d")
	stop(p, 26)
	p.do(chromedp.Click(`#events [data-kind="alarm"] button`))
	p.until(`!document.getElementById('back').hidden`, "looking back")
	p.picture("bench-dark.png")

	phone := openTab(t, browser, address+"?scenario=demo/morning-stop.yaml", 390, 844, chromedp.EmulateMobile, chromedp.EmulateScale(1.5))
	stop(phone, 20.15)
	phone.picture("phone.png")
}

// violation: a logic that waits too long before it turns violates a requirement. The page
// keeps it marked, and a click takes charts and picture there.
func violation(t *testing.T, browser context.Context) {
	table, err := os.ReadFile(filepath.Join("..", "..", "..", "scenarios", "logic", "baseline.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	slow := filepath.Join(t.TempDir(), "slow.yaml")
	if err := os.WriteFile(slow, []byte(strings.Replace(string(table), "  pause: 300 ms", "  pause: 3 s", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	p := openTab(t, browser, serveTo(t, Config{Wanted: Wanted{Scenario: "obstruction", Logic: slow}}), 1440, 900)
	p.hurry()
	row := `document.querySelector('[data-requirement="obstruction-reversal"]')`
	p.until(row+`.dataset.state === 'violated'`, "the violation")
	at := ask[float64](p, row+`.querySelector('.req-when').textContent.match(/[\d.]+/)[0] * 1`)
	p.click(`[data-requirement="obstruction-reversal"] .req-when`)
	p.until(fmt.Sprintf(`!document.getElementById('back').hidden && Math.abs(parseFloat(document.getElementById('backText').textContent.match(/[\d.]+/)[0]) - %g) < 0.02`, at), "looking back at the violation")
	p.click("#backRewind")
	p.until(fmt.Sprintf(`heard.last.running === false && Math.abs(heard.last.t - %g) < 0.05`, at), "the truck as it was then")
	p.until(row+`.dataset.state !== 'holds'`, "a requirement that is not yet met again")
}

// full: a page for which there is no truck says so, and what to do.
func full(t *testing.T, browser context.Context) {
	address := serveTo(t, Config{Sessions: 1})
	openTab(t, browser, address, 1440, 900)
	ctx, closeTab := chromedp.NewContext(browser)
	defer closeTab()
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	p := &tab{t: t, ctx: ctx}
	p.do(chromedp.Navigate(address))
	p.until(`document.getElementById('notice').textContent.includes('in use')`, "the word that all trucks are in use")
}
