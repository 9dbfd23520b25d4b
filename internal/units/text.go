package units

import (
	"strconv"
	"strings"

	"larder/internal/fault"
)

// exact writes x with the fewest digits that read back to the same float.
func exact(x float64, unit string) string {
	return strconv.FormatFloat(x, 'f', -1, 64) + " " + unit
}

func plain(s, unit string) (float64, error) {
	n, ok := strings.CutSuffix(s, " "+unit)
	if ok {
		if x, err := strconv.ParseFloat(n, 64); err == nil {
			return x, nil
		}
	}
	return 0, fault.Newf(fault.NotUnderstood, "", "%q is not an amount in %s", s, unit)
}

// String gives the exact value in kg.
func (x Mass) String() string { return exact(float64(x), "kg") }

// MarshalText gives String.
func (x Mass) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Mass) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "kg")
	if err == nil {
		*x = Mass(v)
	}
	return err
}

// String gives the exact value in L.
func (x Volume) String() string { return exact(float64(x), "L") }

// MarshalText gives String.
func (x Volume) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Volume) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "L")
	if err == nil {
		*x = Volume(v)
	}
	return err
}

// String gives the exact value in C.
func (x Temp) String() string { return exact(float64(x), "C") }

// MarshalText gives String.
func (x Temp) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Temp) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "C")
	if err == nil {
		*x = Temp(v)
	}
	return err
}

// String gives the exact value in %.
func (x Strength) String() string { return exact(float64(x)*100, "%") }

// MarshalText gives String.
func (x Strength) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Strength) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "%")
	if err == nil {
		*x = Strength(v / 100)
	}
	return err
}

// String gives the exact value in m.
func (x Length) String() string { return exact(float64(x), "m") }

// MarshalText gives String.
func (x Length) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Length) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "m")
	if err == nil {
		*x = Length(v)
	}
	return err
}

// String gives the exact value in Pa.
func (x Pressure) String() string { return exact(float64(x), "Pa") }

// MarshalText gives String.
func (x Pressure) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Pressure) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "Pa")
	if err == nil {
		*x = Pressure(v)
	}
	return err
}

// String gives the exact value in W.
func (x Power) String() string { return exact(float64(x), "W") }

// MarshalText gives String.
func (x Power) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Power) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "W")
	if err == nil {
		*x = Power(v)
	}
	return err
}

// String gives the exact value in J.
func (x Energy) String() string { return exact(float64(x), "J") }

// MarshalText gives String.
func (x Energy) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Energy) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "J")
	if err == nil {
		*x = Energy(v)
	}
	return err
}

// String gives the exact value in V.
func (x Voltage) String() string { return exact(float64(x), "V") }

// MarshalText gives String.
func (x Voltage) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Voltage) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "V")
	if err == nil {
		*x = Voltage(v)
	}
	return err
}

// String gives the exact value in A.
func (x Current) String() string { return exact(float64(x), "A") }

// MarshalText gives String.
func (x Current) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Current) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "A")
	if err == nil {
		*x = Current(v)
	}
	return err
}

// String gives the exact value in s.
func (x Duration) String() string { return exact(float64(x), "s") }

// MarshalText gives String.
func (x Duration) MarshalText() ([]byte, error) { return []byte(x.String()), nil }

// UnmarshalText reads what String writes.
func (x *Duration) UnmarshalText(b []byte) error {
	v, err := plain(string(b), "s")
	if err == nil {
		*x = Duration(v)
	}
	return err
}
