//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// served is `slatbench serve` as a process of its own.
type served struct {
	*exec.Cmd
	address string // host:port
	out     *bufio.Reader
}

func serveProcess(t *testing.T, args ...string) *served {
	t.Helper()
	me, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	s := &served{Cmd: exec.CommandContext(t.Context(), me)}
	s.Args = append([]string{"slatbench", "serve", "--port", "0"}, args...)
	s.Stderr = os.Stderr
	out, err := s.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Start(); err != nil {
		t.Fatal(err)
	}
	s.out = bufio.NewReader(out)
	line, err := s.out.ReadString('\n')
	_, rest, ok := strings.Cut(line, "http://")
	if err != nil || !ok {
		t.Fatalf("%q, %v", line, err)
	}
	s.address, _, _ = strings.Cut(rest, "/")
	return s
}

// stop ends it by a signal, and gives what it said at last.
func (s *served) stop(t *testing.T, by os.Signal) string {
	t.Helper()
	if err := s.Process.Signal(by); err != nil {
		t.Fatal(err)
	}
	last, err := io.ReadAll(s.out)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Wait(); err != nil {
		t.Errorf("stopped by %v: %v", by, err)
	}
	return string(last)
}

// TestServeStopsCleanly: by either signal, with a page open, and the port is free again.
func TestServeStopsCleanly(t *testing.T) {
	for _, by := range []os.Signal{syscall.SIGINT, syscall.SIGTERM} {
		s := serveProcess(t)
		if !strings.HasPrefix(s.address, "127.0.0.1:") {
			t.Errorf("it listens at %s", s.address)
		}
		conn, _, err := websocket.Dial(t.Context(), "ws://"+s.address+"/live", nil)
		if err != nil {
			t.Fatal(err)
		}
		go func() {
			for err == nil {
				_, _, err = conn.Read(context.Background())
			}
		}()
		if last := s.stop(t, by); last != servedText+"\n" {
			t.Errorf("at last it said %q", last)
		}
		if answer, err := http.Get("http://" + s.address + "/healthz"); err == nil {
			answer.Body.Close()
			t.Error("something still answers")
		}
	}
}

// TestSavedLiveIsRun: what was done on a page and saved is a file that run takes.
func TestSavedLiveIsRun(t *testing.T) {
	s := serveProcess(t, "morning-stop")
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	defer cancel()
	conn, _, err := websocket.Dial(ctx, "ws://"+s.address+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.CloseNow()
	conn.SetReadLimit(1 << 22)
	for _, text := range []string{
		`{"do":"open"}`, `{"do":"pause"}`, `{"do":"step","ticks":700}`, `{"do":"press","bay":"C1"}`, `{"do":"fault","kind":"leaning-cargo","place":"C1","on":true}`,
		`{"do":"step","ticks":1000}`, `{"do":"save","title":"Seventeen seconds"}`,
	} {
		if err := conn.Write(ctx, websocket.MessageText, []byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	var m struct{ Is, File, Text, Message string }
	for m.Is != "saved" {
		_, data, err := conn.Read(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(data, &m); err != nil {
			t.Fatal(err)
		}
		if m.Is == "error" {
			t.Fatal(m.Message)
		}
	}
	s.stop(t, syscall.SIGINT)
	name := filepath.Join(t.TempDir(), m.File)
	if err := os.WriteFile(name, []byte(m.Text), 0o600); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if code := run([]string{"run", name}, strings.NewReader(""), &out, &errs); code == exitBadInput || !strings.Contains(out.String(), "Seventeen seconds") {
		t.Errorf("exit code %d, %s%s\n%s", code, out.String(), errs.String(), m.Text)
	}
}
