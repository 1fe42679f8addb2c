//go:build unix

package firmware

import (
	"os/exec"
	"syscall"
)

// ownGroup puts a program into a process group of its own: what it starts ends with
// it, and an interruption from the keyboard goes to the bench alone.
func ownGroup(c *exec.Cmd) {
	c.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	diesWithParent(c.SysProcAttr)
}

// killGroup ends a program, and all that it has started.
func killGroup(c *exec.Cmd) {
	if c.Process != nil {
		_ = syscall.Kill(-c.Process.Pid, syscall.SIGKILL)
	}
}
