package sqlite

import "errors"

// childSmall cannot be: Windows has no limit on the length of files.
func childSmall(string) error { return errors.New("not on Windows") }

// childCramped cannot be either.
func childCramped(string) error { return errors.New("not on Windows") }
