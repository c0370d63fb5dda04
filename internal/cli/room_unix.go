//go:build unix

package cli

import "syscall"

// room tells how many bytes are free where a folder lies.
func room(dir string) (free int64, ok bool) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return int64(s.Bavail) * int64(s.Bsize), true
}
