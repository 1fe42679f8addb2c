//go:build unix && !linux

package firmware

import (
	"os/exec"
	"syscall"
)

func diesWithParent(*syscall.SysProcAttr) {}

func startProcess(c *exec.Cmd) error { return c.Start() }
