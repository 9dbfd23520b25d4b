package pgtest

import "syscall"

// withParent ends the server with the test program, however that ends.
func withParent(a *syscall.SysProcAttr) { a.Pdeathsig = syscall.SIGQUIT }
