//go:build !unix

package firmware

import "os/exec"

func ownGroup(*exec.Cmd) {}

func killGroup(c *exec.Cmd) {
	if c.Process != nil {
		_ = c.Process.Kill()
	}
}

func startProcess(c *exec.Cmd) error { return c.Start() }
