//go:build !linux && !darwin && !windows

package sqlite

// networkShare cannot tell here.
func networkShare(string) string { return "" }
