package firmware

import (
	"os/exec"
	"runtime"
	"sync"
	"syscall"
)

// diesWithParent lets the system end a program when the bench is killed.
func diesWithParent(a *syscall.SysProcAttr) { a.Pdeathsig = syscall.SIGKILL }

// starter is one thread from which all programs are started, and which never ends:
// the system takes the thread that started a program for its parent.
var starter = sync.OnceValue(func() chan func() {
	work := make(chan func())
	go func() {
		runtime.LockOSThread()
		for start := range work {
			start()
		}
	}()
	return work
})

func startProcess(c *exec.Cmd) error {
	done := make(chan error)
	starter() <- func() { done <- c.Start() }
	return <-done
}
