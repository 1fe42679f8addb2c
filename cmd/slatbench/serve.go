package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os/exec"
	"os/signal"
	"runtime"
	"strconv"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"slatbench/cmd/slatbench/live"
	"slatbench/scenarios"
)

// serveFlags is what the command line asks of the live bench.
type serveFlags struct {
	scenario string // as typed; "" is a truck that nothing happens to
	host     string
	port     uint16
	open     bool
	truck    string
	logic    string
	sessions int
	idle     time.Duration
	names    []string
}

func newServe() *cobra.Command {
	var f serveFlags
	c := command(cobra.Command{Use: "serve [FILE]", Args: atMost(1), ValidArgsFunction: completeFile(scenarios.ScenarioKind, scenarios.LessonKind)}, helpServe)
	flags := c.Flags()
	flags.BoolVar(&f.open, "open", false, flagOpen)
	flags.Uint16Var(&f.port, "port", defaultPort, flagPort)
	flags.StringVar(&f.host, "host", loopback, flagHost)
	flags.StringArrayVar(&f.names, "name", nil, flagName)
	flags.StringVar(&f.logic, "logic", "", flagServeLogic)
	flags.StringVar(&f.truck, "truck", "", flagServeTruck)
	flags.IntVar(&f.sessions, "sessions", live.DefaultSessions, flagSessions)
	flags.DurationVar(&f.idle, "idle", live.DefaultIdle, flagIdle)
	flags.SortFlags = false
	completeFlag(c, "logic", completeFile(scenarios.LogicKind))
	completeFlag(c, "truck", completeFile(scenarios.TruckKind))
	for _, name := range []string{"port", "host", "name", "sessions", "idle"} {
		completeFlag(c, name, cobra.NoFileCompletions)
	}
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) == 1 {
			f.scenario = args[0]
		}
		return f.serve(c.Context(), c.OutOrStdout(), c.ErrOrStderr())
	}
	return c
}

const (
	loopback    = "127.0.0.1"
	defaultPort = 8014
	mostPages   = 1000
)

// serve answers until it is told to stop.
func (f *serveFlags) serve(parent context.Context, out, errs io.Writer) error {
	if err := f.check(); err != nil {
		return err
	}
	server, err := live.New(live.Config{
		Wanted:  live.Wanted{Scenario: f.scenario, Truck: f.truck, Logic: f.logic},
		Version: version(), Sessions: f.sessions, Idle: f.idle, Hosts: f.names, Log: errs,
	})
	if err != nil {
		return withHint(f.namedAsTyped(err))
	}
	listener, err := net.Listen("tcp", net.JoinHostPort(f.host, strconv.Itoa(int(f.port))))
	if err != nil {
		return cannotListen(f.host, f.port, err)
	}
	if parent == nil {
		parent = context.Background()
	}
	ctx, release := signal.NotifyContext(parent, syscall.SIGINT, syscall.SIGTERM)
	defer release()
	address := addressOf(listener)
	fmt.Fprintln(out, servingText(address, isLoopback(listener)))
	if f.open {
		if err := openBrowser(address); err != nil {
			fmt.Fprintln(errs, noBrowser(err))
		}
	}
	if err := server.Serve(ctx, listener); err != nil {
		return err
	}
	fmt.Fprintln(out, servedText)
	return nil
}

// check refuses what can be refused before any file is opened.
func (f *serveFlags) check() error {
	switch {
	case f.truck != "" && f.scenario != "":
		return truckOfItsOwn(f.scenario)
	case f.sessions < 1 || f.sessions > mostPages:
		return badNumber("sessions", f.sessions, mostPages)
	case f.idle < time.Minute:
		return badIdle(f.idle)
	}
	return f.findFile()
}

// findFile tells of a name that no file has, with what to try.
func (f *serveFlags) findFile() error {
	kinds := []scenarios.FileKind{scenarios.ScenarioKind, scenarios.LessonKind}
	for _, kind := range kinds {
		if f.scenario == "" || scenarios.Exists(scenarios.FullName(kind, f.scenario)) {
			return nil
		}
	}
	return nothingToServe(f.scenario, scenarios.HintFor(f.scenario, kinds...))
}

// namedAsTyped lets a truck or a logic that cannot be had stand at the flag that named it.
func (f *serveFlags) namedAsTyped(err error) error {
	if f.logic != "" {
		err = namedBy("--logic", err)
	}
	var problems scenarios.Problems
	if errors.As(err, &problems) {
		for _, p := range problems {
			if p.Pos.File == live.QuietFile {
				p.Pos = scenarios.Pos{File: "--truck"}
			}
		}
	}
	return err
}

// withHint takes up what the live bench knows to try about an error.
func withHint(err error) error {
	var hinting interface {
		error
		Hint() string
	}
	if errors.As(err, &hinting) {
		return wrong{err.Error(), hinting.Hint()}
	}
	return err
}

// addressOf is how a browser on this machine calls the server.
func addressOf(l net.Listener) string {
	host, port, err := net.SplitHostPort(l.Addr().String())
	if ip := net.ParseIP(host); err != nil || ip == nil || ip.IsUnspecified() {
		host = loopback
	}
	return "http://" + net.JoinHostPort(host, port) + "/"
}

func isLoopback(l net.Listener) bool {
	a, ok := l.Addr().(*net.TCPAddr)
	return ok && a.IP.IsLoopback()
}

// openBrowser asks the system to show an address.
func openBrowser(address string) error {
	var words []string
	switch runtime.GOOS {
	case "darwin":
		words = []string{"open", address}
	case "windows":
		words = []string{"rundll32", "url.dll,FileProtocolHandler", address}
	default:
		words = []string{"xdg-open", address}
	}
	c := exec.Command(words[0], words[1:]...)
	if err := c.Start(); err != nil {
		return errors.Unwrap(err)
	}
	go func() { _ = c.Wait() }()
	return nil
}
