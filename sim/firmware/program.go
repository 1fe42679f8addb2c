package firmware

import (
	"bufio"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"time"

	"slatbench/sim"
)

// DefaultDeadline is how long a program may take over an answer: long, so that a machine
// that is busy decides nothing.
const DefaultDeadline = 5 * time.Second

// Kinds of frame. docs/firmware/program.c describes them.
const (
	framePowerOn = iota + 1
	frameTick
	frameProvision
	frameTaught
	frameName
)

// Sizes of a frame's head, and of what follows it.
const (
	headSize      = 4
	powerOnSize   = 4 + sim.StoreSize
	provisionSize = 8 + sim.StoreSize
	taughtSize    = sim.StoreSize
	askNameSize   = 4
	mostFrame     = headSize + provisionSize
)

// Program is a program whose processes are controllers: one for each door, and one
// for the locks, as there is a microcontroller for each. So firmware may keep all it
// knows in globals, and a crash is the crash of one.
type Program struct {
	title    string
	argv     []string
	deadline time.Duration
	digest   string
	layout   Layout

	mu   sync.Mutex
	open map[*process]bool
	side *process // that records and names are asked of
}

// OpenProgram starts a program once, and checks what it says of itself. argv is the
// program's file and its arguments. A Program must be closed.
func OpenProgram(title string, argv []string, deadline time.Duration) (*Program, error) {
	p := &Program{title: title, argv: argv, deadline: deadline, open: map[*process]bool{}}
	var err error
	if p.digest, err = digestOf(argv); err != nil {
		return nil, err
	}
	first, err := p.spawn()
	if err != nil {
		return nil, err
	}
	p.layout = first.layout
	first.close()
	return p, nil
}

// digestOf is a short name for a program's bytes and its arguments.
func digestOf(argv []string) (string, error) {
	path, err := exec.LookPath(argv[0])
	if err != nil {
		return "", err
	}
	file, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	h := sha256.New()
	if _, err := io.Copy(h, file); err != nil {
		return "", err
	}
	fmt.Fprintf(h, "\x00%q", argv[1:])
	return hex.EncodeToString(h.Sum(nil)[:8]), nil
}

// Title implements sim.Logic.
func (p *Program) Title() string { return p.title }

// Digest is a short name for the program's bytes and arguments.
func (p *Program) Digest() string { return p.digest }

// Layout is what the program says of itself.
func (p *Program) Layout() *Layout { return &p.layout }

// Controllers implements sim.Logic.
func (p *Program) Controllers(bays int, tick float64) (doors []sim.Controller, locks sim.Controller) {
	return controllers(p, &p.layout, bays, tick)
}

// Return implements sim.Lender.
func (p *Program) Return(doors []sim.Controller, locks sim.Controller) { stopAll(doors, locks) }

// Close ends all processes of the program.
func (p *Program) Close() error {
	p.mu.Lock()
	var list []*process
	for c := range p.open {
		list = append(list, c)
	}
	p.mu.Unlock()
	for _, c := range list {
		c.close()
	}
	return nil
}

func (p *Program) start() (engine, error) { return p.spawn() }

// process is one controller that a program has become.
type process struct {
	program *Program
	layout  Layout
	cmd     *exec.Cmd
	to      *os.File
	from    *os.File
	read    *bufio.Reader
	said    tail
	frame   [mostFrame]byte
	out     [outputsSize]byte
	ended   chan struct{} // closed when it has ended
	err     error         // how it ended, once ended is closed
	once    sync.Once
}

// spawn starts a process, and reads its layout.
func (p *Program) spawn() (*process, error) {
	c := &process{program: p, cmd: exec.Command(p.argv[0], p.argv[1:]...), ended: make(chan struct{})}
	if err := c.begin(); err != nil {
		return nil, fmt.Errorf("%s cannot be started: %w", p.argv[0], err)
	}
	p.mu.Lock()
	p.open[c] = true
	p.mu.Unlock()
	raw := make([]byte, layoutSize)
	err := c.take(raw)
	if err == nil {
		c.layout, err = readLayout(raw)
	} else {
		err = fmt.Errorf("it does not say its layout: %w", err)
	}
	if err != nil {
		c.close()
		return nil, err
	}
	return c, nil
}

func (c *process) begin() error {
	in, to, err := os.Pipe()
	if err != nil {
		return err
	}
	from, out, err := os.Pipe()
	if err != nil {
		in.Close()
		to.Close()
		return err
	}
	c.to, c.from, c.read = to, from, bufio.NewReaderSize(from, 256)
	c.cmd.Stdin, c.cmd.Stdout, c.cmd.Stderr = in, out, &c.said
	// A program that leaves others behind, which hold its standard error, is not waited for.
	c.cmd.WaitDelay = time.Second
	ownGroup(c.cmd)
	err = startProcess(c.cmd)
	in.Close()
	out.Close()
	if err != nil {
		to.Close()
		from.Close()
		return err
	}
	go func() {
		c.err = c.cmd.Wait()
		close(c.ended)
	}()
	return nil
}

// head begins a frame; the rest is put behind it.
func (c *process) head(kind byte, r Role, size int) []byte {
	c.frame[0], c.frame[1], c.frame[2], c.frame[3] = kind, byte(r), byte(size), byte(size>>8)
	return c.frame[headSize : headSize+size]
}

// give sends the frame, and take waits for an answer: both for as long as the
// deadline, and no longer.
func (c *process) give(size int) error {
	if err := c.to.SetWriteDeadline(time.Now().Add(c.program.deadline)); err != nil {
		return c.why(err)
	}
	_, err := c.to.Write(c.frame[:headSize+size])
	return c.why(err)
}

func (c *process) take(answer []byte) error {
	if err := c.from.SetReadDeadline(time.Now().Add(c.program.deadline)); err != nil {
		return c.why(err)
	}
	_, err := io.ReadFull(c.read, answer)
	return c.why(err)
}

func (c *process) powerOn(r Role, tickMicros uint32, store *sim.Store) error {
	body := c.head(framePowerOn, r, powerOnSize)
	binary.LittleEndian.PutUint32(body, tickMicros)
	copy(body[4:], store[:])
	return c.give(powerOnSize)
}

func (c *process) inputs() *[inputsSize]byte {
	return (*[inputsSize]byte)(c.head(frameTick, 0, inputsSize))
}

func (c *process) tick() (*[outputsSize]byte, error) {
	if err := c.give(inputsSize); err != nil {
		return nil, err
	}
	return &c.out, c.take(c.out[:])
}

// passed: a program has a clock of its own.
func (c *process) passed(int) {}

// close ends the process, and all that it has started in its group.
func (c *process) close() {
	c.once.Do(func() {
		c.to.Close()
		killGroup(c.cmd)
		<-c.ended
		c.from.Close()
		p := c.program
		p.mu.Lock()
		delete(p.open, c)
		p.mu.Unlock()
	})
}

// why words the failure of an exchange; nil stays nil.
func (c *process) why(err error) error {
	if err == nil {
		return nil
	}
	what := ""
	if errors.Is(err, os.ErrDeadlineExceeded) {
		what = fmt.Sprintf("it gave no answer within %v", c.program.deadline)
	} else {
		what = c.ending(err)
	}
	if said := c.said.said(); said != "" {
		what += "; it said: " + said
	}
	return errors.New(what)
}

// ending is how a process ended that no longer answers.
func (c *process) ending(err error) string {
	select {
	case <-c.ended:
	case <-time.After(c.program.deadline):
		return "it closed its standard output: " + err.Error()
	}
	if c.err == nil {
		return "it ended, with exit status 0"
	}
	return "it ended: " + strings.TrimSpace(c.err.Error())
}

// beside runs a question on the process that is kept for questions.
func (p *Program) beside(ask func(*process) error) {
	p.mu.Lock()
	c := p.side
	p.side = nil
	p.mu.Unlock()
	if c == nil {
		var err error
		if c, err = p.spawn(); err != nil {
			return
		}
	}
	if ask(c) != nil {
		c.close()
		return
	}
	p.mu.Lock()
	spare := p.side != nil
	if !spare {
		p.side = c
	}
	p.mu.Unlock()
	if spare {
		c.close()
	}
}

func (p *Program) provision(store *sim.Store, travel, at int) {
	p.beside(func(c *process) error {
		body := c.head(frameProvision, Door, provisionSize)
		binary.LittleEndian.PutUint32(body, uint32(int32(travel)))
		binary.LittleEndian.PutUint32(body[4:], uint32(int32(at)))
		copy(body[8:], store[:])
		if err := c.give(provisionSize); err != nil {
			return err
		}
		var filled sim.Store
		err := c.take(filled[:])
		if err == nil {
			*store = filled
		}
		return err
	})
}

func (p *Program) taught(store *sim.Store) (travel int, ok bool) {
	p.beside(func(c *process) error {
		copy(c.head(frameTaught, Door, taughtSize), store[:])
		if err := c.give(taughtSize); err != nil {
			return err
		}
		var answer [4]byte
		err := c.take(answer[:])
		travel = int(int32(binary.LittleEndian.Uint32(answer[:])))
		return err
	})
	return max(travel, 0), travel > 0
}

func (p *Program) stateName(r Role, n uint16) string {
	name := fmt.Sprintf("state %d", n)
	p.beside(func(c *process) error {
		binary.LittleEndian.PutUint32(c.head(frameName, r, askNameSize), uint32(n))
		if err := c.give(askNameSize); err != nil {
			return err
		}
		var answer [nameSize]byte
		err := c.take(answer[:])
		if err == nil {
			name = nameOf(answer[:], name)
		}
		return err
	})
	return name
}
