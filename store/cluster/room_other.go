//go:build !darwin && !freebsd && !linux

package cluster

// Room is not known here.
func Room(string) (free, total int64, err error) { return 0, 0, nil }
