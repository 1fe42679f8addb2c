package live

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// patience is how long a test waits for what must come. What passes never waits so long.
const patience = 20 * time.Second

// running is a server that answers on loopback.
type running struct {
	*Server
	address string // host:port
	stopped func() error
}

// serving starts a server, and stops it at the end of the test.
func serving(t *testing.T, cfg Config, change func(*Server), wrap func(net.Listener) net.Listener) *running {
	t.Helper()
	s, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(s)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	r := &running{Server: s, address: l.Addr().String()}
	if wrap != nil {
		l = wrap(l)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx, l) }()
	r.stopped = sync.OnceValue(func() error {
		cancel()
		select {
		case err := <-done:
			return err
		case <-time.After(patience):
			return errors.New("the server did not stop")
		}
	})
	t.Cleanup(func() {
		if err := r.stopped(); err != nil {
			t.Error(err)
		}
	})
	return r
}

// visitor is a page as far as the wire goes.
type visitor struct {
	t    *testing.T
	conn *websocket.Conn
}

func (r *running) visit(t *testing.T, o *websocket.DialOptions) *visitor {
	t.Helper()
	if o == nil {
		o = &websocket.DialOptions{Subprotocols: []string{subprotocol}}
	}
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	conn, _, err := websocket.Dial(ctx, "ws://"+r.address+"/live", o)
	if err != nil {
		t.Fatal(err)
	}
	conn.SetReadLimit(16 << 20)
	t.Cleanup(func() { _ = conn.CloseNow() })
	return &visitor{t, conn}
}

func (v *visitor) say(text string) {
	v.t.Helper()
	ctx, cancel := context.WithTimeout(v.t.Context(), patience)
	defer cancel()
	if err := v.conn.Write(ctx, websocket.MessageText, []byte(text)); err != nil {
		v.t.Fatal(err)
	}
}

// message is any message of the bench.
type message struct {
	Is, Do, Kind, Name, Bay, Message, Hint, Reason, Title, Text, File string

	ID      int
	Seq     int
	T       float64
	Running bool
	Why     string
	Bays    json.RawMessage
	List    json.RawMessage
}

// hear is the next message, or the error that ended the connection.
func (v *visitor) hear() (m message, err error) {
	ctx, cancel := context.WithTimeout(v.t.Context(), patience)
	defer cancel()
	_, data, err := v.conn.Read(ctx)
	if err == nil {
		err = json.Unmarshal(data, &m)
	}
	return m, err
}

// until reads messages until one is as it should be.
func (v *visitor) until(what string, ok func(m *message) bool) message {
	v.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); {
		m, err := v.hear()
		if err != nil {
			v.t.Fatalf("waiting for %s: %v", what, err)
		}
		if ok(&m) {
			return m
		}
	}
	v.t.Fatalf("%s did not come", what)
	return message{}
}

func is(word string) func(*message) bool { return func(m *message) bool { return m.Is == word } }

// bye reads to the farewell and to the close that follows it.
func (v *visitor) bye(reason string, code websocket.StatusCode) {
	v.t.Helper()
	if m := v.until("bye", is(IsBye)); m.Reason != reason || m.Text == "" {
		v.t.Errorf("bye for %q, %q; expected %q", m.Reason, m.Text, reason)
	}
	if _, err := v.hear(); websocket.CloseStatus(err) != code {
		v.t.Errorf("closed by %v, expected %v", err, code)
	}
}

func TestPageAndItsHeaders(t *testing.T) {
	r := serving(t, Config{}, nil, nil)
	for path, kind := range map[string]string{"/": "text/html", "/main.js": "text/javascript", "/layout.css": "text/css", "/healthz": "text/plain"} {
		answer, err := http.Get("http://" + r.address + path)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		if err != nil || len(body) == 0 || answer.StatusCode != http.StatusOK || !strings.HasPrefix(answer.Header.Get("Content-Type"), kind) {
			t.Errorf("%s: %v, %d bytes of %q, %v", path, answer.Status, len(body), answer.Header.Get("Content-Type"), err)
		}
		policy := answer.Header.Get("Content-Security-Policy")
		if !strings.Contains(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") || answer.Header.Get("X-Content-Type-Options") != "nosniff" {
			t.Errorf("%s: headers %v", path, answer.Header)
		}
	}
}

// TestStrangersAreRefused: a page of somebody else's reaches the bench neither by its own
// origin nor by a name of its own that leads here.
func TestStrangersAreRefused(t *testing.T) {
	r := serving(t, Config{Wanted: Wanted{}, Hosts: []string{"classroom.example"}}, nil, nil)
	port := r.address[strings.LastIndex(r.address, ":"):]
	for _, c := range []struct {
		host, origin string
		want         int
	}{
		{r.address, "", http.StatusOK},
		{r.address, "http://" + r.address, http.StatusOK},
		{"localhost" + port, "http://localhost" + port, http.StatusOK},
		{"[::1]" + port, "", http.StatusOK},
		{"classroom.example" + port, "", http.StatusOK},
		{"stranger.example" + port, "", http.StatusForbidden},
		{"localhost.stranger.example" + port, "", http.StatusForbidden},
		{r.address, "http://stranger.example", http.StatusForbidden},
		{r.address, "null", http.StatusForbidden},
		{r.address, "http://127.0.0.1:1", http.StatusForbidden},
		{r.address, "https://" + r.address, http.StatusForbidden},
		{"localhost" + port, "http://" + r.address, http.StatusForbidden},
	} {
		for _, path := range []string{"/", "/live"} {
			q, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+r.address+path, nil)
			if err != nil {
				t.Fatal(err)
			}
			q.Host = c.host
			if c.origin != "" {
				q.Header.Set("Origin", c.origin)
			}
			want := c.want
			if path == "/live" {
				q.Header.Set("Connection", "Upgrade")
				q.Header.Set("Upgrade", "websocket")
				q.Header.Set("Sec-WebSocket-Version", "13")
				q.Header.Set("Sec-WebSocket-Key", "c2xhdGJlbmNoLXRlc3QhIQ==")
				if want == http.StatusOK {
					want = http.StatusSwitchingProtocols
				}
			}
			answer, err := http.DefaultTransport.RoundTrip(q)
			if err != nil {
				t.Fatal(err)
			}
			answer.Body.Close()
			if answer.StatusCode != want {
				t.Errorf("%s of host %q from %q: %s, expected %d", path, c.host, c.origin, answer.Status, want)
			}
		}
	}
}

// TestOperateOverTheWire: a press opens the door, and the page sees and hears of it.
func TestOperateOverTheWire(t *testing.T) {
	r := serving(t, Config{Version: "test"}, nil, nil)
	v := r.visit(t, nil)
	v.until("welcome", is(IsWelcome))
	v.say(`{"do":"press","id":1,"bay":"C1"}`)
	if m := v.until("an error", is(IsError)); m.ID != 1 || m.Do != DoPress || m.Hint == "" {
		t.Errorf("a press with nothing open: %+v", m)
	}
	v.say(`{"do":"open","id":2}`)
	v.until("the truck", is(IsBench))
	v.until("requirements", is(IsRequirements))
	if m := v.until("done", is(IsDone)); m.ID != 2 {
		t.Errorf("done with %d, expected 2", m.ID)
	}
	v.until("down", func(m *message) bool {
		return m.Is == IsEvent && m.Kind == eventState && m.Bay == "C1" && m.Name == "down"
	})
	v.say(`{"do":"speed","factor":10}`)
	v.say(`{"do":"press","id":3,"bay":"C1"}`)
	v.until("open", func(m *message) bool {
		return m.Is == IsEvent && m.Kind == eventState && m.Bay == "C1" && m.Name == "open"
	})
	v.say(`{"do":"pause"}`)
	m := v.until("a frame that stands", func(m *message) bool { return m.Is == IsFrame && !m.Running })
	var bays [][]float64
	if err := json.Unmarshal(m.Bays, &bays); err != nil {
		t.Fatal(err)
	}
	if h := bays[0][0]; h < 1.75 || m.Why != whyPaused {
		t.Errorf("C1 stands at %g m, %q", h, m.Why)
	}
	v.say(`{"do":"press","id":4,"bay":"D1"}`)
	if m := v.until("an error", is(IsError)); !strings.Contains(m.Message, `"D1"`) || m.Hint == "" {
		t.Errorf("a press at a bay that there is not: %+v", m)
	}
}

// TestMalformedEndsThatSessionOnly: what is no request ends the session that sent it, with a
// word, and no other.
func TestMalformedEndsThatSessionOnly(t *testing.T) {
	r := serving(t, Config{}, nil, nil)
	other := r.visit(t, nil)
	other.say(`{"do":"open"}`)
	for _, text := range []string{"{", "[]", `{"do":7}`, `{}`, "\x00", `{"do":"press","aim_deg":1e999}`, `{"do":"press","length_s":NaN}`} {
		v := r.visit(t, nil)
		v.say(text)
		v.bye(byeReasonMalformed, websocket.StatusPolicyViolation)
	}
	binary := r.visit(t, nil)
	if err := binary.conn.Write(t.Context(), websocket.MessageBinary, []byte(`{"do":"open"}`)); err != nil {
		t.Fatal(err)
	}
	binary.bye(byeReasonMalformed, websocket.StatusPolicyViolation)
	long := r.visit(t, nil)
	_ = long.conn.Write(t.Context(), websocket.MessageText, bytes.Repeat([]byte(" "), mostMessage+1))
	for {
		if _, err := long.hear(); err != nil {
			if websocket.CloseStatus(err) != websocket.StatusMessageTooBig {
				t.Errorf("a message of %d bytes: %v", mostMessage+1, err)
			}
			break
		}
	}
	other.say(`{"do":"press","id":9,"bay":"C1"}`)
	other.until("done", func(m *message) bool { return m.Is == IsDone && m.ID == 9 })
}

func TestFullIsSaid(t *testing.T) {
	r := serving(t, Config{Sessions: 2}, nil, nil)
	a, b := r.visit(t, nil), r.visit(t, nil)
	a.until("welcome", is(IsWelcome))
	b.until("welcome", is(IsWelcome))
	r.visit(t, nil).bye(byeReasonFull, websocket.StatusTryAgainLater)
	if err := a.conn.Close(websocket.StatusNormalClosure, ""); err != nil {
		t.Fatal(err)
	}
	r.waitFor(t, 1)
	r.visit(t, nil).until("welcome", is(IsWelcome))
}

// waitFor waits until there are so many sessions.
func (r *running) waitFor(t *testing.T, n int) {
	t.Helper()
	for end := time.Now().Add(patience); r.Open() != n; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%d sessions, expected %d", r.Open(), n)
		}
	}
}

func TestIdleSessionsEnd(t *testing.T) {
	r := serving(t, Config{Idle: 100 * time.Millisecond}, nil, nil)
	v := r.visit(t, nil)
	v.say(`{"do":"open"}`)
	v.bye(byeReasonIdle, websocket.StatusGoingAway)
	r.waitFor(t, 0)
}

func TestStoppingSaysBye(t *testing.T) {
	r := serving(t, Config{}, nil, nil)
	v := r.visit(t, nil)
	v.say(`{"do":"open"}`)
	v.until("frame", is(IsFrame))
	ended := make(chan error, 1)
	go func() { ended <- r.stopped() }()
	v.bye(byeReasonStopped, websocket.StatusGoingAway)
	if err := <-ended; err != nil {
		t.Error(err)
	}
	if answer, err := http.Get("http://" + r.address + "/healthz"); err == nil {
		answer.Body.Close()
		t.Error("it still answers")
	}
}

// narrow gives the first connection as little room as the system lets, so that it is noticed
// soon when its page does not read.
type narrow struct {
	net.Listener
	first sync.Once
}

func (n *narrow) Accept() (net.Conn, error) {
	c, err := n.Listener.Accept()
	if t, ok := c.(*net.TCPConn); ok {
		n.first.Do(func() { _ = t.SetWriteBuffer(2048) })
	}
	return c, err
}

// TestReaderThatStopsStallsNobody: the session of a page that stops reading ends, and the
// frames of another come without a gap all the while.
func TestReaderThatStopsStallsNobody(t *testing.T) {
	r := serving(t, Config{}, func(s *Server) { s.timing.write = 300 * time.Millisecond }, func(l net.Listener) net.Listener { return &narrow{Listener: l} })
	dialer := &net.Dialer{}
	stuck := r.visit(t, &websocket.DialOptions{HTTPClient: &http.Client{Transport: &http.Transport{
		DialContext: func(ctx context.Context, network, address string) (net.Conn, error) {
			c, err := dialer.DialContext(ctx, network, address)
			if t, ok := c.(*net.TCPConn); ok {
				_ = t.SetReadBuffer(2048)
			}
			return c, err
		},
	}}})
	reader := r.visit(t, nil)
	reader.say(`{"do":"open"}`)
	stuck.say(`{"do":"open"}`)
	for range 60 { // as much as a page asks for, so that much is to be sent
		stuck.say(`{"do":"restart"}`)
	}
	seq := reader.until("a frame", is(IsFrame)).Seq
	after := 0
	for end := time.Now().Add(patience); after < 10; {
		if time.Now().After(end) {
			t.Fatal("the session of the page that does not read goes on")
		}
		m := reader.until("a frame", is(IsFrame))
		if seq++; m.Seq != seq {
			t.Fatalf("frame %d after %d", m.Seq, seq-1)
		}
		if r.Open() == 1 {
			after++
		}
	}
}

type safeBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *safeBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *safeBuffer) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// TestNothingIsLeftRunning: however sessions end, no goroutine of theirs stays.
func TestNothingIsLeftRunning(t *testing.T) {
	before := runtime.NumGoroutine()
	r := serving(t, Config{}, nil, nil)
	var all []*visitor
	for i := range 24 {
		v := r.visit(t, nil)
		v.say(`{"do":"open"}`)
		v.until("frame", is(IsFrame))
		all = append(all, v)
		switch i % 4 {
		case 0:
			_ = v.conn.CloseNow()
		case 1:
			_ = v.conn.Close(websocket.StatusNormalClosure, "")
		case 2:
			v.say("no request")
		}
	}
	r.waitFor(t, 6)
	var hearing sync.WaitGroup
	for _, v := range all {
		hearing.Go(func() { // a page that answers the farewell
			for {
				if _, err := v.hear(); err != nil {
					return
				}
			}
		})
	}
	if err := r.stopped(); err != nil {
		t.Fatal(err)
	}
	hearing.Wait()
	for end := time.Now().Add(patience); runtime.NumGoroutine() > before+1; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			stacks := make([]byte, 1<<16)
			t.Fatalf("%d goroutines, %d before:\n%s", runtime.NumGoroutine(), before, stacks[:runtime.Stack(stacks, true)])
		}
	}
}

func TestBadFileIsToldBeforeServing(t *testing.T) {
	for name, want := range map[string]string{
		"no-such-scenario.yaml":        "no file",
		"standards/force-en12453.yaml": "standard file",
		"trucks/produce-4bay.yaml":     "scenario",
	} {
		_, err := New(Config{Wanted: Wanted{Scenario: name}})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, expected %q", name, err, want)
		}
	}
	if _, err := New(Config{Wanted: Wanted{Logic: "no-such-logic.yaml"}}); err == nil {
		t.Error("a logic that there is not")
	}
	if _, err := New(Config{Wanted: Wanted{Truck: "no-such-truck.yaml"}}); err == nil {
		t.Error("a truck that there is not")
	}
}
