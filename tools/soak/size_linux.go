package main

import (
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// sizeOf gives the memory a process has in RAM, in bytes, and how many files it
// has open.
func sizeOf(pid int) (rss int64, files int) {
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", pid))
	if err != nil {
		return 0, 0
	}
	var all, here int64
	if _, err := fmt.Sscan(string(raw), &all, &here); err != nil {
		return 0, 0
	}
	open, err := os.ReadDir(fmt.Sprintf("/proc/%d/fd", pid))
	if err != nil {
		return 0, 0
	}
	return here * int64(os.Getpagesize()), len(open)
}

// noRoom lets no file of a process grow past a few pages, until lift is called.
func noRoom(pid int) (lift func() error, err error) {
	var was unix.Rlimit
	if err := unix.Prlimit(pid, unix.RLIMIT_FSIZE, nil, &was); err != nil {
		return nil, err
	}
	limit := was
	limit.Cur = 16 << 10
	if err := unix.Prlimit(pid, unix.RLIMIT_FSIZE, &limit, nil); err != nil {
		return nil, err
	}
	return func() error { return unix.Prlimit(pid, unix.RLIMIT_FSIZE, &was, nil) }, nil
}
