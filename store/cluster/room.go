//go:build darwin || freebsd || linux

package cluster

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// Room measures the disk that the data folder lies on, in bytes: what is left
// for the database, and all. An error tells that the folder is gone.
func Room(dir string) (free, total int64, err error) {
	path := filepath.Join(dir, dataName)
	if _, err := os.Stat(filepath.Join(path, "PG_VERSION")); err != nil {
		return 0, 0, fmt.Errorf("data folder: %w", err)
	}
	var s syscall.Statfs_t
	if err := syscall.Statfs(path, &s); err != nil {
		return 0, 0, fmt.Errorf("data folder: %w", err)
	}
	return int64(s.Bavail) * int64(s.Bsize), int64(s.Blocks) * int64(s.Bsize), nil
}
