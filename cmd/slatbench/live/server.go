package live

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
)

// Config is how a server serves.
type Config struct {
	Wanted
	Version  string
	Sessions int           // at most at once; 0 means DefaultSessions
	Idle     time.Duration // after which a session nobody uses ends; 0 means DefaultIdle
	Hosts    []string      // names, besides addresses and localhost, by which pages may call it
	Log      io.Writer     // for errors of the bench's own; nil is none
	Page     fs.FS         // nil is the page that is built in
}

// Bounds of a server.
const (
	DefaultSessions = 64
	DefaultIdle     = 2 * time.Hour
	mostMessage     = 2 << 20 // bytes of a request: a scenario file has 1 MiB at most
)

// Server is the live bench: one truck a page. Make it with [New].
type Server struct {
	cfg     Config
	shelf   *shelf
	welcome []byte
	log     *log.Logger
	handler http.Handler
	timing  timing

	ctx    context.Context // ends when the server is being stopped
	cancel context.CancelFunc
	mu     sync.Mutex
	open   int
	ending bool
	wait   sync.WaitGroup
}

// New makes a server, and opens what every page is given first. The error says what is
// wrong with the file that was asked for.
func New(cfg Config) (*Server, error) {
	if cfg.Sessions == 0 {
		cfg.Sessions = DefaultSessions
	}
	if cfg.Idle == 0 {
		cfg.Idle = DefaultIdle
	}
	if cfg.Log == nil {
		cfg.Log = io.Discard
	}
	if cfg.Page == nil {
		cfg.Page = page()
	}
	shelf, err := newShelf(cfg.Wanted)
	if err != nil {
		return nil, err
	}
	src, err := shelf.first()
	if err != nil {
		return nil, errors.Join(err, shelf.close())
	}
	title := src.title
	_ = src.close()
	welcome, err := json.Marshal(shelf.welcome(cfg.Version, title))
	if err != nil {
		return nil, err
	}
	s := &Server{timing: usualTiming, cfg: cfg, shelf: shelf, welcome: welcome, log: log.New(cfg.Log, "slatbench serve: ", 0)}
	s.ctx, s.cancel = context.WithCancel(context.Background())
	mux := http.NewServeMux()
	mux.HandleFunc("GET /live", s.serveLive)
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "ok\n") })
	mux.Handle("GET /", http.FileServerFS(cfg.Page))
	s.handler = s.guard(mux)
	return s, nil
}

// Serve answers on a listener until the context ends, then puts all trucks away, closes
// the listener, and returns nil.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	h := &http.Server{
		Handler: s.handler, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10,
		ErrorLog: log.New(io.Discard, "", 0),
	}
	done := make(chan error, 1)
	go func() { done <- h.Serve(l) }()
	var err error
	select {
	case err = <-done:
	case <-ctx.Done():
		err = http.ErrServerClosed
	}
	s.stop()
	s.wait.Wait()
	_ = h.Close()
	if ctx.Err() != nil {
		<-done
	}
	if e := s.shelf.close(); e != nil && (err == nil || errors.Is(err, http.ErrServerClosed)) {
		return e
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

func (s *Server) stop() {
	s.mu.Lock()
	s.ending = true
	s.mu.Unlock()
	s.cancel()
}

// enter makes room for a session, and tells whether there is some.
func (s *Server) enter() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.open >= s.cfg.Sessions || s.ending {
		return false
	}
	s.open++
	s.wait.Add(1)
	return true
}

func (s *Server) leave() {
	s.mu.Lock()
	s.open--
	s.mu.Unlock()
	s.wait.Done()
}

// Open is how many sessions there are.
func (s *Server) Open() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.open
}

// guard lets only pages of our own through, and tells browsers how strictly to take them.
func (s *Server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.known(r.Host) {
			http.Error(w, fmt.Sprintf("this bench is not called %q", r.Host), http.StatusForbidden)
			return
		}
		if !sameOrigin(r) {
			http.Error(w, "only the bench's own page may speak to it", http.StatusForbidden)
			return
		}
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "+
			"font-src 'self'; connect-src 'self' ws://"+r.Host+"; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		h.Set("Cache-Control", "no-cache")
		next.ServeHTTP(w, r)
	})
}

// known tells whether a page may call the server so: by an address, which nobody else's
// name server can make up; as localhost; or by a name that the user has given.
func (s *Server) known(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	return name == "localhost" || net.ParseIP(name) != nil || slices.Contains(s.cfg.Hosts, name)
}

// sameOrigin tells whether a request that says where its page comes from comes from here.
// Programs that are no browsers do not say.
func sameOrigin(r *http.Request) bool {
	origin := r.Header.Get("Origin")
	return origin == "" || strings.EqualFold(origin, "http://"+r.Host)
}
