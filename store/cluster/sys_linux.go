package cluster

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
)

// dieWithParent has a process stopped when the thread that started it ends, however it ends.
func dieWithParent(attr *syscall.SysProcAttr) { attr.Pdeathsig = syscall.SIGQUIT }

// handOver opens dir for a command whose account cannot walk to it, and answers the path by which the command, and
// whatever it starts, finds it: the system resolves it by the open folder, not by the folders above.
func handOver(cmd *exec.Cmd, dir string) (string, error) {
	d, err := os.Open(dir)
	if err != nil {
		return "", err
	}
	cmd.ExtraFiles = append(cmd.ExtraFiles, d)
	return fmt.Sprintf("/proc/self/fd/%d", 2+len(cmd.ExtraFiles)), nil
}

// alive tells whether a process runs. One that has ended, but that nobody has asked after, does not.
func alive(pid int) bool {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return false
	}
	// The state follows the program's name, which may hold anything but ends with the last parenthesis.
	i := bytes.LastIndexByte(stat, ')')
	return i >= 0 && i+2 < len(stat) && stat[i+2] != 'Z' && stat[i+2] != 'X'
}

// serves tells whether process pid is the postmaster of the data directory: a program named postgres at work in it.
// Numbers are given again, after a restart of the machine or in a container soon, so the number alone says little. A
// postgres that does not let itself be looked at counts as one, since taking over from a live one is the worse mistake.
func serves(pid int, data string) bool {
	proc := filepath.Join("/proc", strconv.Itoa(pid))
	comm, err := os.ReadFile(filepath.Join(proc, "comm"))
	if err != nil || string(bytes.TrimSpace(comm)) != "postgres" {
		return false
	}
	cwd, err := os.Stat(filepath.Join(proc, "cwd"))
	if err != nil {
		return errors.Is(err, fs.ErrPermission)
	}
	want, err := os.Stat(data)
	return err == nil && os.SameFile(cwd, want)
}
