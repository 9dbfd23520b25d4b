package supplement

import (
	"strings"

	"larder/internal/fault"
	"larder/internal/units"
)

// Pack is one pack of the product in the shed.
type Pack struct {
	Lot        string
	Opened     units.Day // 0 = still closed
	BestBefore units.Day // 0 = not printed or not copied
	Kept       string    // where it stands; "" = not told
}

// Usable tells whether a pack may be used on a day by its label, with cautions
// for what cannot be told. Past its day it is [fault.Unsafe].
func (l Label) Usable(p Pack, on units.Day) ([]Caution, error) {
	const op = "supplement.Label.Usable"
	if err := l.Check(); err != nil {
		return nil, err
	}
	switch {
	case on == 0:
		return nil, trouble(fault.Missing, l.Product, op, "the day has not been told").WithHint("the day it is to be used")
	case p.Opened > on:
		return nil, trouble(fault.OutOfRange, l.Product, op, "the pack is opened on %s only", p.Opened).WithHint("check the day")
	case p.BestBefore != 0 && on > p.BestBefore:
		return nil, trouble(fault.Unsafe, l.Product, op, "the pack was good until %s", p.BestBefore).WithHint("do not use it; dispose of it as its label says")
	case p.Opened != 0 && l.OpenedDays.Said == Says && on > p.Opened+units.Day(l.OpenedDays.Is):
		return nil, trouble(fault.Unsafe, l.Product, op, "opened on %s, it kept until %s", p.Opened, p.Opened+units.Day(l.OpenedDays.Is)).WithHint("do not use it; dispose of it as its label says")
	}
	var out []Caution
	if p.BestBefore == 0 {
		out = append(out, caution("no-best-before", "The pack's own best-before day has not been copied"))
	}
	if l.KeptWhere.Said == Says && !strings.EqualFold(strings.TrimSpace(p.Kept), strings.TrimSpace(l.KeptWhere.Is)) {
		out = append(out, caution("kept-elsewhere", "The label wants it kept: {0}. Has it been?", l.KeptWhere.Is))
	}
	if strings.TrimSpace(p.Lot) == "" {
		out = append(out, caution("no-lot", "Copy the lot number: it must be known which colonies got it"))
	}
	return out, nil
}

// MixedUntil gives the last day on which syrup with the product in it may be
// fed; told is false where the label says nothing.
func (l Label) MixedUntil(mixed units.Day) (last units.Day, told bool, err error) {
	if err := l.Check(); err != nil {
		return 0, false, err
	}
	if l.MixedDays.Said != Says || mixed == 0 {
		return 0, false, nil
	}
	return mixed + units.Day(l.MixedDays.Is), true, nil
}

// HoneyFrom gives the first day on which honey of a colony may be taken again
// after the last of a medicine: all days of the withdrawal period lie between.
// held is false for what is no medicine. Until then no super goes on.
func (l Label) HoneyFrom(lastGiven units.Day) (from units.Day, held bool, err error) {
	if err := l.Check(); err != nil {
		return 0, false, err
	}
	switch {
	case l.Medicine != Yes:
		return 0, false, nil
	case lastGiven == 0:
		return 0, true, trouble(fault.Missing, l.Product, "supplement.Label.HoneyFrom", "the day of the last of it has not been told").WithHint("the day it was given")
	case l.Withdrawal.Is == 0:
		return lastGiven, true, nil
	}
	return lastGiven + units.Day(l.Withdrawal.Is) + 1, true, nil
}
