//go:build unix

package main

import (
	"syscall"
	"time"
)

// cpu is the processor time this program has used, which other work on the
// machine does not lengthen as it does the time on the wall.
func cpu() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
