//go:build unix

package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"

	"slatbench/cmd/slatbench/live"
)

// benchPages is how many pages BenchmarkServe opens.
const benchPages = 50

// benchSpan is how long they are watched.
const benchSpan = 12 * time.Second

// BenchmarkServe measures what the live bench costs with 50 pages at real time: the
// program itself as a process of its own, and as many clients as pages, over WebSockets on
// loopback, each of which works its four doors without a rest and reads every frame. It
// reports the processor time of the server alone, in % of one core.
//
//	go test ./cmd/slatbench -run '^$' -bench Serve -benchtime 1x
func BenchmarkServe(b *testing.B) {
	program := filepath.Join(b.TempDir(), "slatbench")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	for b.Loop() {
		measureServe(b, program)
	}
}

func measureServe(b *testing.B, program string) {
	server := exec.Command(program, "serve", "--port", "0")
	server.Stderr = os.Stderr
	out, err := server.StdoutPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := server.Start(); err != nil {
		b.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		b.Fatal(err)
	}
	_, rest, _ := strings.Cut(line, "http://")
	address, _, _ := strings.Cut(rest, "/")

	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	pages := make([]benchPage, benchPages)
	var work sync.WaitGroup
	for i := range pages {
		pages[i].open(b, ctx, address)
		work.Go(func() { pages[i].read(ctx) })
		work.Go(func() { pages[i].work(ctx) })
	}
	time.Sleep(2 * time.Second) // past the first openings of doors
	from, used := time.Now(), processTime(b, server.Process.Pid)
	frames, bytes := total(pages)
	time.Sleep(benchSpan)
	span, spent := time.Since(from).Seconds(), processTime(b, server.Process.Pid)-used
	framesAfter, bytesAfter := total(pages)
	dropped := 0
	for i := range pages {
		dropped += int(pages[i].gaps.Load())
	}
	cancel()
	work.Wait()
	if err := server.Process.Signal(syscall.SIGINT); err != nil {
		b.Fatal(err)
	}
	if err := server.Wait(); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(100*spent.Seconds()/span, "%core")
	b.ReportMetric(float64(framesAfter-frames)/span/benchPages, "frames/s/page")
	b.ReportMetric(float64(bytesAfter-bytes)/span/benchPages/1000, "kB/s/page")
	b.ReportMetric(float64(dropped), "frames-dropped")
	usage := server.ProcessState.SysUsage().(*syscall.Rusage)
	b.ReportMetric(float64(usage.Maxrss)/1024, "MB")
	b.ReportMetric(0, "ns/op")
}

// benchPage is one client.
type benchPage struct {
	conn          *websocket.Conn
	frames, bytes atomic.Int64
	gaps          atomic.Int64
}

func (p *benchPage) open(b *testing.B, ctx context.Context, address string) {
	conn, _, err := websocket.Dial(ctx, "ws://"+address+"/live", &websocket.DialOptions{Subprotocols: []string{"slatbench.live"}})
	if err != nil {
		b.Fatal(err)
	}
	conn.SetReadLimit(1 << 22)
	p.conn = conn
	p.say(ctx, live.Request{Do: live.DoOpen})
}

func (p *benchPage) say(ctx context.Context, q live.Request) {
	if text, err := json.Marshal(q); err == nil {
		_ = p.conn.Write(ctx, websocket.MessageText, text)
	}
}

// work presses the remotes of all four doors, again and again.
func (p *benchPage) work(ctx context.Context) {
	for {
		for _, bay := range []string{"C1", "C2", "R1", "R2"} {
			p.say(ctx, live.Request{Do: live.DoPress, Bay: bay})
		}
		select {
		case <-ctx.Done():
			return
		case <-time.After(7 * time.Second):
		}
	}
}

func (p *benchPage) read(ctx context.Context) {
	defer func() { _ = p.conn.CloseNow() }()
	next := int64(-1)
	for {
		_, data, err := p.conn.Read(ctx)
		if err != nil {
			return
		}
		p.bytes.Add(int64(len(data)))
		var seq int64
		if n, err := fmt.Sscanf(string(data[:min(len(data), 60)]), `{"is":"frame","seq":%d`, &seq); n != 1 || err != nil {
			continue
		}
		p.frames.Add(1)
		if next >= 0 && seq != next {
			p.gaps.Add(seq - next)
		}
		next = seq + 1
	}
}

func total(pages []benchPage) (frames, bytes int64) {
	for i := range pages {
		frames += pages[i].frames.Load()
		bytes += pages[i].bytes.Load()
	}
	return frames, bytes
}

// processTime is the processor time that a process has used so far, from /proc.
func processTime(b *testing.B, pid int) time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		b.Skip("no /proc to read the processor time of the server from")
	}
	// Fields 14 and 15, in ticks of 10 ms; the second, in parentheses, may have spaces.
	_, rest, _ := strings.Cut(string(text), ") ")
	var user, system int64
	fields := strings.Fields(rest)
	if _, err := fmt.Sscan(fields[11], &user); err != nil {
		b.Fatal(err)
	}
	if _, err := fmt.Sscan(fields[12], &system); err != nil {
		b.Fatal(err)
	}
	return time.Duration(user+system) * 10 * time.Millisecond
}
