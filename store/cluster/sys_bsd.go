//go:build darwin || dragonfly || freebsd || netbsd || openbsd

package cluster

import (
	"errors"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
)

// dieWithParent does nothing: these systems have no such thing that all of them share.
func dieWithParent(*syscall.SysProcAttr) {}

// handOver is not to be had here.
func handOver(*exec.Cmd, string) (string, error) {
	return "", errors.New("the folders above it are closed to that account")
}

// alive tells whether a process runs.
func alive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}

// serves tells whether process pid may be the postmaster of the data directory: a program named postgres. Its folder
// cannot be asked for here.
func serves(pid int, _ string) bool {
	out, err := exec.Command("ps", "-o", "comm=", "-p", strconv.Itoa(pid)).Output()
	return err == nil && strings.Contains(string(out), "postgres")
}
