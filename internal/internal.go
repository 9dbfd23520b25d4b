// Package internal has no code of its own: its tests hold the policy of imports.
package internal
