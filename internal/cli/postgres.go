package cli

import (
	"context"

	"larder/internal/fault"
	"larder/internal/season"
)

func openPostgres(context.Context, string) (season.Book, error) {
	return nil, fault.New(fault.Usage, "--book", "this build knows no PostgreSQL")
}
