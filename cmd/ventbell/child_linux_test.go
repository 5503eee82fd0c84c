package main_test

import (
	"os/exec"
	"syscall"
)

// tie has the kernel end a child with its parent, should the test itself be
// killed before it can clean up.
func tie(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
}
