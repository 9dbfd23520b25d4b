package web

import (
	"math"

	"larder/internal/season"
	"larder/internal/units"
)

// aimTable is the targets of one colony, side by side.
type aimTable struct {
	*Base
	season.Aim
	Rows []aimRow
}

// aimRow is one of them.
type aimRow struct {
	Key       string
	Kg, Lasts string
	Used      bool
}

// AimTable puts a colony's targets side by side: by the winters here, by the
// table, his own.
func (b *Base) AimTable(a season.Aim) aimTable {
	t := aimTable{Base: b, Aim: a}
	row := func(from season.AimFrom, kg units.Mass, lasts float64) {
		r := aimRow{Key: "aim.by." + string(from), Kg: "–", Lasts: "–", Used: a.From == from}
		if kg > 0 {
			r.Kg, r.Lasts = b.S.Mass(kg), b.T("aim.lasts.unknown")
			if !math.IsNaN(lasts) {
				r.Lasts = b.T("aim.lasts", "Of100", b.S.Num(season.Of100(lasts), 0))
			}
		}
		t.Rows = append(t.Rows, r)
	}
	row(season.AimModel, a.Model, a.ModelLasts)
	row(season.AimTable, a.Table, a.TableLasts)
	row(season.AimOwn, a.Own, a.OwnLasts)
	return t
}
