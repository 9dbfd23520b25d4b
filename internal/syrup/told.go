package syrup

// Maybe is a value that may not have been told. The zero Maybe is not told:
// 0 °C is a temperature, an empty box on the sheet is not.
type Maybe[Q any] struct {
	Q    Q
	Told bool
}

// Told makes a Maybe that was told.
func Told[Q any](q Q) Maybe[Q] { return Maybe[Q]{Q: q, Told: true} }

// Or gives the told value, else d.
func (m Maybe[Q]) Or(d Q) Q {
	if m.Told {
		return m.Q
	}
	return d
}
