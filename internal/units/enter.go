package units

// Enter reads an amount and keeps how it was entered, in canonical spelling:
// "48lb" as "48 lb", "48,5 kg" as "48.5 kg", "40 gal" as "40 US gal" or, in the
// UK system, "40 UK gal". The spelling reads back to the identical float
// without any locale.
func Enter[Q Quantity](s string, l Locale) (Entered[Q], error) {
	var q Q
	return enter[Q](reader{d: q.dim(), l: l}, s)
}

// EnterIn is [Enter], but a number without a unit is in unit and is kept so:
// "48" in "lb" is "48 lb".
func EnterIn[Q Quantity](s, unit string, l Locale) (Entered[Q], error) {
	var q Q
	rd := reader{d: q.dim(), l: l}
	rd.unit = rd.d.find(normalise(unit), l.System)
	if rd.unit == nil {
		return Entered[Q]{}, rd.unknownUnit(unit, unit)
	}
	return enter[Q](rd, s)
}

func enter[Q Quantity](rd reader, s string) (Entered[Q], error) {
	if rd.d == &strengthUnits && isRatio(s) {
		x, r, err := ratioAmount(s, rd.l)
		if err != nil {
			return Entered[Q]{}, err
		}
		return Entered[Q]{Q(x), r.String()}, nil
	}
	a, err := rd.read(s)
	if err == nil {
		err = ranged(rd.d, a, s)
	}
	if err != nil {
		return Entered[Q]{}, err
	}
	e := Entered[Q]{Q: Q(a.value), As: a.canonical()}
	// The inside unit needs no words, except that "0 kg" was entered and
	// nothing was not.
	if e.Q != 0 && e.As == e.Q.String() {
		e.As = ""
	}
	return e, nil
}

// EnterMass is [Enter] for a weight.
func EnterMass(s string, l Locale) (Entered[Mass], error) { return Enter[Mass](s, l) }

// EnterMassIn is [EnterIn] for a weight.
func EnterMassIn(s, unit string, l Locale) (Entered[Mass], error) { return EnterIn[Mass](s, unit, l) }

// EnterVolume is [Enter] for a volume.
func EnterVolume(s string, l Locale) (Entered[Volume], error) { return Enter[Volume](s, l) }

// EnterVolumeIn is [EnterIn] for a volume.
func EnterVolumeIn(s, unit string, l Locale) (Entered[Volume], error) {
	return EnterIn[Volume](s, unit, l)
}
