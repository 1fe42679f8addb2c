package live

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

var screens = flag.Bool("screens", false, "take the pictures under docs/screens again")

// pagePatience is how long a test waits for something to come about. It bounds a test that
// fails; none that holds comes near, also where the machine is busy.
const pagePatience = 2 * time.Minute

// findBrowser skips a test where there is no browser to try the page in.
func findBrowser(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skip("no chromium found: the page is not tried in a browser")
	return ""
}

// openBrowser starts a browser for a test and those within it.
func openBrowser(t *testing.T) context.Context {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(findBrowser(t)), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.UserDataDir(t.TempDir()))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, quit := chromedp.NewContext(allocator)
	t.Cleanup(func() {
		_ = chromedp.Cancel(ctx) // waits until the browser has gone, and its folder can be removed
		quit()
	})
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("chromium does not start: %v", err)
	}
	return ctx
}

// serveTo serves a bench until the test ends, and gives its address.
func serveTo(t *testing.T, c Config) string {
	t.Helper()
	server, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- server.Serve(ctx, listener) }()
	t.Cleanup(func() {
		stop()
		if err := <-done; err != nil {
			t.Errorf("the server ended with %v", err)
		}
	})
	return "http://" + listener.Addr().String() + "/"
}

// tab is one page in the browser.
type tab struct {
	t   *testing.T
	ctx context.Context

	mu     sync.Mutex
	errors []string
}

// listen keeps what the bench tells the page, and what the page asks for.
const listen = `(() => {
	const Wire = window.WebSocket;
	window.heard = { t: [], rows: [], asked: [], last: null };
	window.WebSocket = class extends Wire {
		constructor(...a) {
			super(...a);
			heard.wire = this;
			this.addEventListener('message', m => {
				const o = JSON.parse(m.data);
				if (o.is === 'bench') { heard.bench = o; heard.t = []; heard.rows = []; }
				if (o.is !== 'frame') return;
				heard.last = o;
				o.samples.t.forEach((t, i) => {
					heard.t.push(t);
					heard.rows.push(o.samples.bays.map(b => Array.isArray(b[0]) ? b[0][i] : b[0]));
				});
			});
		}
		send(m) { heard.asked.push(JSON.parse(m)); super.send(m); }
	};
})()`

// openTab shows an address in a page of its own. A page that writes an error to the
// console fails the test.
func openTab(t *testing.T, parent context.Context, address string, width, height int64, options ...chromedp.EmulateViewportOption) *tab {
	t.Helper()
	ctx, closeTab := chromedp.NewContext(parent)
	p := &tab{t: t, ctx: ctx}
	if err := chromedp.Do(ctx); err != nil { // without a deadline, which would be the tab's own
		t.Fatal(err)
	}
	go p.watchConsole()
	t.Cleanup(func() {
		p.quiet()
		closeTab()
	})
	if _, err := chromedp.Call(ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: listen}); err != nil {
		t.Fatal(err)
	}
	p.front()
	p.prefer("prefers-color-scheme", "light")
	p.do(chromedp.EmulateViewport(width, height, options...), chromedp.Navigate(address))
	p.until(`heard.last !== null && document.getElementById('bayName').textContent !== ''`, "the first frame")
	return p
}

// front lets the page be drawn and have the keyboard, whatever other pages there are.
func (p *tab) front() {
	p.t.Helper()
	if _, err := chromedp.Call(p.ctx, cdppage.BringToFront, cdp.Empty{}); err != nil {
		p.t.Fatal(err)
	}
	if _, err := chromedp.Call(p.ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}); err != nil {
		p.t.Fatal(err)
	}
}

func (p *tab) watchConsole() {
	for m, err := range chromedp.Console(p.ctx) {
		if err != nil {
			return
		}
		if m.IsException() || m.Type == chromedp.ConsoleError || m.Type == chromedp.ConsoleWarning {
			p.mu.Lock()
			p.errors = append(p.errors, m.String())
			p.mu.Unlock()
		}
	}
}

// quiet fails where the console was written to.
func (p *tab) quiet() {
	p.t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, e := range p.errors {
		p.t.Errorf("the console says: %s", e)
	}
}

func (p *tab) prefer(feature, value string) {
	p.t.Helper()
	features := []*emulation.MediaFeature{{Name: feature, Value: value}}
	if _, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features}); err != nil {
		p.t.Fatal(err)
	}
}

func (p *tab) do(actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, pagePatience)
	defer cancel()
	if err := chromedp.Do(ctx, actions...); err != nil {
		p.t.Fatal(err)
	}
}

// ask evaluates an expression in the page.
func ask[T any](p *tab, expression string) T {
	p.t.Helper()
	ctx, cancel := context.WithTimeout(p.ctx, pagePatience)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.t.Fatalf("%s: %v", expression, err)
	}
	return value
}

// until waits for an expression to become true.
func (p *tab) until(expression, what string) {
	p.t.Helper()
	for end := time.Now().Add(pagePatience); !ask[bool](p, "Boolean("+expression+")"); {
		if time.Now().After(end) {
			p.t.Fatalf("%s does not come about; the page says:\n%s", what, p.state())
		}
		time.Sleep(30 * time.Millisecond)
	}
}

// state is what the page shows, for the message of a test that fails.
func (p *tab) state() string {
	return ask[string](p, `['clock', 'standing', 'stateWord', 'alarmWord', 'notice', 'nowWrong', 'truck', 'lesson', 'events'].map(id => id + ': ' + document.getElementById(id).innerText.replace(/\s+/g, ' ').slice(0, 700)).join('\n')`)
}

func (p *tab) click(selector string) {
	p.t.Helper()
	p.do(chromedp.ScrollIntoView(selector), chromedp.Click(selector))
}

func (p *tab) key(keys string) {
	p.t.Helper()
	p.do(chromedp.KeyEvent(keys))
}

// hurry plays ten times as fast.
func (p *tab) hurry() {
	p.t.Helper()
	p.click(`#speeds [data-value="10"]`)
	p.until(`heard.last.speed === 10`, "ten times the speed")
}

// bay is an expression for the newest number of a bay, whichever is shown.
func bay(id, column string) string {
	return fmt.Sprintf(`heard.last.bays[heard.bench.bays.findIndex(b => b.id === %q)][heard.bench.bay_columns.indexOf(%q)]`, id, column)
}

// shows waits until the page shows a bay in a state, and stands.
func (p *tab) shows(id, state string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`document.querySelector('[data-bay="%s"] .bay-state').textContent === %q && Math.abs(%s) < 0.001`, id, state, bay(id, "speed_m_s")), id+" "+state)
}

// happened waits for a line in the list of what happened.
func (p *tab) happened(kind, text string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`[...document.querySelectorAll('#events [data-kind="%s"]')].some(e => e.textContent.includes(%q))`, kind, text), kind+" "+text)
}

func (p *tab) text(selector string) string {
	p.t.Helper()
	return ask[string](p, fmt.Sprintf(`document.querySelector(%q).innerText`, selector))
}

// downloads lets the browser write files into a folder.
func (p *tab) downloads(folder string) {
	p.t.Helper()
	_, err := chromedp.CallBrowser(p.ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: folder,
	})
	if err != nil {
		p.t.Fatal(err)
	}
}

// downloaded waits for the one file in a folder to be whole.
func downloaded(t *testing.T, folder string) string {
	t.Helper()
	for end := time.Now().Add(pagePatience); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		files, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		if len(files) == 1 {
			return files[0]
		}
	}
	t.Fatal("nothing was downloaded")
	return ""
}

// drop lets a file fall on the page.
func (p *tab) drop(name, text string) {
	p.t.Helper()
	content, err := json.Marshal(text)
	if err != nil {
		p.t.Fatal(err)
	}
	ask[bool](p, fmt.Sprintf(`(() => {
		const data = new DataTransfer();
		data.items.add(new File([%s], %q));
		for (const kind of ['dragenter', 'dragover', 'drop']) document.body.dispatchEvent(new DragEvent(kind, { dataTransfer: data, bubbles: true, cancelable: true }));
		return true;
	})()`, content, name))
}

// picture keeps what the page shows under docs/screens.
func (p *tab) picture(name string) {
	p.t.Helper()
	if !*screens {
		return
	}
	data, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.t.Fatal(err)
	}
	folder := filepath.Join("..", "..", "..", "docs", "screens")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		p.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
		p.t.Fatal(err)
	}
}

func contains(t *testing.T, what, text string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Errorf("%s says %q, without %q", what, text, w)
		}
	}
}
