//go:build unix && !linux

package pgtest

import "syscall"

// withParent can do nothing here: the server ends when the tests end in order.
func withParent(*syscall.SysProcAttr) {}
