package live

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"runtime/debug"
	"sync"
	"time"

	"github.com/coder/websocket"
)

// timing of connections.
type timing struct {
	write time.Duration // a page that takes nothing for so long is given up
	ping  time.Duration // between two looks whether it is still there
}

var usualTiming = timing{write: 10 * time.Second, ping: 20 * time.Second}

const (
	byeTimeout = 2 * time.Second
	frameEvery = time.Second / FramesPerSecond
)

// Bounds of what waits to be sent to a page: frames are left out beyond the first, and
// the session ends beyond the second.
const (
	framesWaiting = 4
	bytesWaiting  = 4 << 20
)

// subprotocol is what page and server agree to speak.
const subprotocol = "slatbench.live"

// serveLive is one session, from its first to its last message.
func (s *Server) serveLive(w http.ResponseWriter, r *http.Request) {
	conn, err := websocket.Accept(w, r, &websocket.AcceptOptions{Subprotocols: []string{subprotocol}})
	if err != nil {
		return // it has been answered
	}
	defer func() { _ = conn.CloseNow() }()
	conn.SetReadLimit(mostMessage)
	if !s.enter() {
		c := &connection{conn: conn}
		c.bye(byeFull(s.cfg.Sessions))
		return
	}
	defer s.leave()
	ctx, cancel := context.WithCancel(s.ctx)
	defer cancel()
	listening, deafen := context.WithCancel(context.Background())
	defer deafen()
	c := &connection{server: s, conn: conn, ctx: ctx, cancel: cancel, listening: listening, deafen: deafen, requests: make(chan []byte), wake: make(chan struct{}, 1)}
	c.serve()
}

// connection is the wire of one session. Three goroutines serve it: one reads, one writes,
// and one has the truck.
type connection struct {
	server *Server
	conn   *websocket.Conn
	ctx    context.Context
	cancel context.CancelFunc

	listening context.Context // ends what is read, and the connection with it
	deafen    context.CancelFunc
	requests  chan []byte

	mu      sync.Mutex
	queue   []outgoing // to be written, in order
	waiting int        // bytes of it
	frames  int        // frames in it
	spare   [][]byte
	wake    chan struct{}
}

type outgoing struct {
	data  []byte
	frame bool
}

// farewell is a Bye and the code with which the WebSocket is closed.
type farewell struct {
	bye  Bye
	code websocket.StatusCode
}

// Reasons for a Bye.
const (
	byeReasonFull      = "full"
	byeReasonIdle      = "idle"
	byeReasonSlow      = "slow"
	byeReasonMalformed = "malformed"
	byeReasonTrouble   = "trouble"
	byeReasonStopped   = "stopped"
)

func byeFor(reason, text string, code websocket.StatusCode) farewell {
	return farewell{Bye{IsBye, reason, text}, code}
}

func byeFull(n int) farewell {
	return byeFor(byeReasonFull, fmt.Sprintf(fullText, n), websocket.StatusTryAgainLater)
}

// serve has the session until it ends.
func (c *connection) serve() {
	var helpers sync.WaitGroup
	helpers.Go(c.read)
	helpers.Go(c.write)
	end := c.work()
	c.cancel()
	c.bye(end)
	c.deafen()
	_ = c.conn.CloseNow()
	helpers.Wait()
}

// bye ends the connection with a reason. The page may be gone already, or not listen.
func (c *connection) bye(end farewell) {
	if end.code == 0 {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), byeTimeout)
	defer cancel()
	if data, err := json.Marshal(end.bye); err == nil {
		_ = c.conn.Write(ctx, websocket.MessageText, data)
	}
	if c.deafen != nil { // a page that does not answer need not be waited for longer
		late := time.AfterFunc(byeTimeout, c.deafen)
		defer late.Stop()
	}
	_ = c.conn.Close(end.code, end.bye.Reason)
}

// read hands requests over until the connection ends. It waits while the truck is busy, so
// that a page that asks for too much is slowed down by its own connection.
func (c *connection) read() {
	defer close(c.requests)
	for {
		kind, data, err := c.conn.Read(c.listening)
		if err != nil {
			return
		}
		if kind != websocket.MessageText {
			data = nil // which is no request
		}
		select {
		case c.requests <- data:
		case <-c.ctx.Done():
			return
		}
	}
}

// write sends what waits, and looks now and then whether the page is still there. A page
// that takes nothing for too long loses its connection, by which the others end.
func (c *connection) write() {
	ping := time.NewTicker(c.server.timing.ping)
	defer ping.Stop()
	for {
		var err error
		select {
		case <-c.ctx.Done():
			return
		case <-ping.C:
			ctx, cancel := context.WithTimeout(context.Background(), c.server.timing.write)
			err = c.conn.Ping(ctx)
			cancel()
		case <-c.wake:
			err = c.flush()
		}
		if err != nil {
			_ = c.conn.CloseNow()
			return
		}
	}
}

// flush writes what waits.
func (c *connection) flush() error {
	for c.ctx.Err() == nil {
		m, ok := c.next()
		if !ok {
			return nil
		}
		ctx, cancel := context.WithTimeout(context.Background(), c.server.timing.write)
		err := c.conn.Write(ctx, websocket.MessageText, m.data)
		cancel()
		if err != nil {
			return err
		}
		c.written(m)
	}
	return nil
}

func (c *connection) next() (outgoing, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.queue) == 0 {
		return outgoing{}, false
	}
	return c.queue[0], true
}

// written takes a message out of the queue, and its room back.
func (c *connection) written(m outgoing) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.waiting -= len(m.data)
	n := copy(c.queue, c.queue[1:])
	c.queue[n] = outgoing{}
	c.queue = c.queue[:n]
	if m.frame {
		c.frames--
		c.spare = append(c.spare, m.data[:0])
	}
}

// put has a message wait to be written.
func (c *connection) put(m outgoing) {
	c.mu.Lock()
	c.queue = append(c.queue, m)
	c.waiting += len(m.data)
	c.mu.Unlock()
	select {
	case c.wake <- struct{}{}:
	default:
	}
}

// send has a message wait that is never left out.
func (c *connection) send(message any) {
	data, err := json.Marshal(message)
	if err != nil {
		panic(fmt.Errorf("a message cannot be written: %w", err))
	}
	c.put(outgoing{data: data})
}

// frame has a frame wait, unless too many do.
func (c *connection) frame(f *frame) bool {
	c.mu.Lock()
	full := c.frames >= framesWaiting
	var room []byte
	if !full {
		c.frames++
		if n := len(c.spare); n > 0 {
			room, c.spare = c.spare[n-1], c.spare[:n-1]
		}
	}
	c.mu.Unlock()
	if full {
		return false
	}
	c.put(outgoing{data: f.appendTo(room), frame: true})
	return true
}

// drowned tells that more waits than a page that reads would let wait.
func (c *connection) drowned() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.waiting > bytesWaiting
}

// work has the truck until the session ends, and says why it did. An error of the bench's
// own ends this session only.
func (c *connection) work() (end farewell) {
	s := newSession(c.server.shelf)
	s.send, s.frame, s.gone = c.send, c.frame, func() bool { return c.ctx.Err() != nil }
	defer func() {
		if e := recover(); e != nil {
			c.server.log.Printf("error of its own in a session: %v\n%s", e, debug.Stack())
			end = byeFor(byeReasonTrouble, troubleText, websocket.StatusInternalError)
		}
		c.putAway(s)
	}()
	c.put(outgoing{data: c.server.welcome})
	ticker := time.NewTicker(frameEvery)
	defer ticker.Stop()
	last := time.Now()
	used := last
	for {
		select {
		case <-c.ctx.Done():
			return byeFor(byeReasonStopped, stoppedText, websocket.StatusGoingAway)
		case data, ok := <-c.requests:
			if !ok {
				return farewell{} // the page has gone
			}
			q, err := parse(data)
			if err != nil {
				return byeFor(byeReasonMalformed, fmt.Sprintf(malformedText, err), websocket.StatusPolicyViolation)
			}
			used = time.Now()
			s.request(q)
		case <-ticker.C:
			now := time.Now()
			s.pass(now.Sub(last).Seconds())
			last = now
			if now.Sub(used) > c.server.cfg.Idle {
				return byeFor(byeReasonIdle, idleText, websocket.StatusGoingAway)
			}
		}
		if c.drowned() {
			return byeFor(byeReasonSlow, slowText, websocket.StatusPolicyViolation)
		}
	}
}

// putAway closes a session. After an error of the bench's own that may meet another.
func (c *connection) putAway(s *session) {
	defer func() {
		if e := recover(); e != nil {
			c.server.log.Printf("error of its own while a session was put away: %v", e)
		}
	}()
	s.close()
}
