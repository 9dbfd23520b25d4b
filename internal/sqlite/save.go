package sqlite

import (
	"context"
	"os"

	"larder/internal/fault"
	"larder/internal/season"
)

// Save writes facts to a new file from which [Restore] makes a book, and proves
// it: the file is looked through whole and its facts are compared with those
// given. Only then does it get its name. It is how a book of another engine is
// backed up to a file. The facts must be in order of truth.
//
// Errors: fault.Conflict when there is a file of that name; fault.NoRoom;
// fault.Damaged when the file does not hold what was given.
func Save(ctx context.Context, file string, facts []season.Fact) error {
	const op = "sqlite.Save"
	file, err := place(file)
	if err != nil {
		return err
	}
	if _, err := os.Lstat(file); err == nil {
		return fault.New(fault.Conflict, file, "there is a file of this name already").WithHint("name the backup otherwise, by its day for example")
	}
	tmp := file + ".part"
	defer func() { // when all went well only its lock file is left
		_ = removeBook(tmp)
		_ = os.Remove(tmp + ".lock")
	}()
	if err := removeBook(tmp); err != nil {
		return diskFault(err, tmp, "this old leaving cannot be removed")
	}
	if err := saveAll(ctx, tmp, facts); err != nil {
		return fault.Wrap(err, op)
	}
	return moveIn(tmp, file)
}

func saveAll(ctx context.Context, tmp string, facts []season.Fact) error {
	b, err := open(ctx, tmp, Options{}, migrations())
	if err != nil {
		return err
	}
	defer b.Close()
	for at := 0; at < len(facts); at += span {
		if err := b.Append(ctx, facts[at:min(at+span, len(facts))]...); err != nil {
			return err
		}
	}
	rep, err := b.Verify(ctx)
	if err != nil {
		return err
	}
	if rep.Digest != season.Digest(facts) {
		return fault.Newf(fault.Damaged, tmp, "the copy has other facts than the book: %d of %d", rep.Facts, len(facts))
	}
	return b.Close()
}
