//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package cluster

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"syscall"
)

// account is who the database's processes run as.
type account struct {
	name     string
	uid, gid uint32
	drop     bool // this process is root, and the database must not be
}

// candidates are the accounts that root may run a new database under, the best first.
var candidates = []string{"boardlore", "postgres", "_postgres", "nobody"}

// chooseAccount answers the account for the data directory: the one that owns it, if it exists.
func chooseAccount(data string) (account, error) {
	me := account{uid: uint32(os.Geteuid()), gid: uint32(os.Getegid())}
	me.name = userName(me.uid)
	info, err := os.Stat(data)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return me, fmt.Errorf("data folder: %w", err)
	}
	if err != nil {
		if me.uid == 0 {
			return unprivileged()
		}
		return me, nil
	}
	stat := info.Sys().(*syscall.Stat_t)
	switch {
	case me.uid != 0 && stat.Uid != me.uid:
		name := userName(stat.Uid)
		return me, fmt.Errorf("the database in %s belongs to account %s: run this as %s or as root", data, name, name)
	case me.uid != 0:
		return me, nil
	case stat.Uid == 0:
		a, err := unprivileged()
		if err != nil {
			return a, err
		}
		return a, fmt.Errorf("%s belongs to root, which PostgreSQL does not run as: give it to another account, "+
			"for example with: chown -R %s: '%s'", data, a.name, data)
	}
	return account{name: userName(stat.Uid), uid: stat.Uid, gid: stat.Gid, drop: true}, nil
}

func unprivileged() (account, error) {
	for _, name := range candidates {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, err1 := strconv.ParseUint(u.Uid, 10, 32)
		gid, err2 := strconv.ParseUint(u.Gid, 10, 32)
		if err1 == nil && err2 == nil && uid != 0 {
			return account{name: name, uid: uint32(uid), gid: uint32(gid), drop: true}, nil
		}
	}
	return account{}, fmt.Errorf("PostgreSQL does not run as root, and this machine has none of the accounts %v: "+
		"add one with: useradd --system boardlore", candidates)
}

// process is how a program of the database is started: out of reach of the terminal's signals, under its account.
func (a account) process() *syscall.SysProcAttr {
	attr := &syscall.SysProcAttr{Setsid: true}
	if a.drop {
		attr.Credential = &syscall.Credential{Uid: a.uid, Gid: a.gid, Groups: []uint32{a.gid}}
	}
	return attr
}

// mkdir makes dir for the account alone. A dir that is there must be its own already: among the temporary files
// another account could have put one in the way.
func (a account) mkdir(dir string) error {
	err := os.Mkdir(dir, 0o700)
	if err == nil && a.drop {
		err = os.Chown(dir, int(a.uid), int(a.gid))
	}
	if !errors.Is(err, fs.ErrExist) {
		return err
	}
	info, err := os.Lstat(dir)
	if err != nil {
		return err
	}
	stat := info.Sys().(*syscall.Stat_t)
	if a.drop && info.IsDir() && stat.Uid == 0 {
		// A kill between the two steps above left it to root.
		return os.Chown(dir, int(a.uid), int(a.gid))
	}
	if !info.IsDir() || stat.Uid != a.uid || info.Mode().Perm()&0o077 != 0 {
		return fmt.Errorf("%s is in the way: it must be a folder of account %s alone (mode 0700)", dir, a.name)
	}
	return nil
}

// reaches tells, by the modes of the folders on the way, whether the account can enter dir. Where access lists give
// more than modes say, the answer is a cautious no.
func (a account) reaches(dir string) bool {
	if !a.drop {
		return true
	}
	path, err := filepath.EvalSymlinks(dir)
	if err != nil {
		return false
	}
	for ; ; path = filepath.Dir(path) {
		info, err := os.Stat(path)
		if err != nil || !a.enters(info) {
			return false
		}
		if path == filepath.Dir(path) {
			return true
		}
	}
}

func (a account) enters(info fs.FileInfo) bool {
	stat, mode := info.Sys().(*syscall.Stat_t), info.Mode().Perm()
	switch {
	case stat.Uid == a.uid:
		return mode&0o100 != 0
	case stat.Gid == a.gid:
		return mode&0o010 != 0
	}
	return mode&0o001 != 0
}

func userName(uid uint32) string {
	id := strconv.FormatUint(uint64(uid), 10)
	if u, err := user.LookupId(id); err == nil {
		return u.Username
	}
	return id
}

// ownerName is the account that owns path, "" if that cannot be told.
func ownerName(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return userName(info.Sys().(*syscall.Stat_t).Uid)
}
