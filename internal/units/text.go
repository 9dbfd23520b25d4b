package units

import (
	"math"
	"strconv"
)

// exactDigits writes x with the fewest digits that read back to the same float,
// never with an exponent, never as "-0".
func exactDigits(x float64) string { return string(appendDigits(nil, x, 0)) }

// appendDigits writes x·10^-ten exactly: the digits are those of x, only the
// point moves. So 0.667 is 66.7 in percent and not 66.70000000000001.
func appendDigits(b []byte, x float64, ten int) []byte {
	if x == 0 {
		return append(b, '0')
	}
	if ten == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return strconv.AppendFloat(b, x, 'f', -1, 64)
	}
	return movePoint(b, strconv.FormatFloat(x, 'e', -1, 64), -ten)
}

// movePoint writes the number in e-form s, times 10^by, without an exponent.
func movePoint(b []byte, s string, by int) []byte {
	if s[0] == '-' {
		b, s = append(b, '-'), s[1:]
	}
	var digits []byte
	point := 1 + by // digits before the point
	for i := 0; i < len(s); i++ {
		if s[i] == 'e' {
			e, _ := strconv.Atoi(s[i+1:])
			point += e
			break
		}
		if s[i] != '.' {
			digits = append(digits, s[i])
		}
	}
	if point <= 0 {
		b = append(b, '0', '.')
	}
	for ; point < 0; point++ {
		b = append(b, '0')
	}
	for i, c := range digits {
		if i == point && i > 0 {
			b = append(b, '.')
		}
		b = append(b, c)
	}
	for i := len(digits); i < point; i++ {
		b = append(b, '0')
	}
	return b
}

// appendText writes q exactly, in the inside unit.
func appendText[Q Quantity](b []byte, q Q) []byte {
	u := q.dim().inside()
	b = appendDigits(b, float64(q), u.ten)
	b = append(b, ' ')
	return append(b, u.name...)
}

func text[Q Quantity](q Q) string { return string(appendText(nil, q)) }

func marshal[Q Quantity](q Q) ([]byte, error) { return appendText(nil, q), nil }

// unmarshal reads stored text: what String writes, or any unit that can be
// read without a locale, with a decimal point. Signs are taken as they stand,
// since a difference may be stored too.
func unmarshal[Q Quantity](q *Q, b []byte) error {
	d := (*q).dim()
	if x, ok := d.quick(b); ok {
		*q = Q(x)
		return nil
	}
	s := string(b)
	if d == &strengthUnits && isRatio(s) {
		x, _, err := ratioAmount(s, Locale{})
		if err == nil {
			*q = Q(x)
		}
		return err
	}
	a, err := reader{d: d, text: true}.read(s)
	if err != nil {
		return err
	}
	*q = Q(a.value)
	return nil
}

// pow10 are the powers of ten a float holds exactly.
var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// quick reads "48.5 lb" without detours: up to 15 digits, one space, a unit.
// A whole number below 2^53 times or divided by an exact power of ten is
// correctly rounded, so the value is that of the long way. Hundreds of
// thousands of facts are read when a book is opened.
func (d *dimension) quick(b []byte) (float64, bool) {
	var mant uint64
	n, after, i := 0, 0, 0
	neg := len(b) > 0 && b[0] == '-'
	if neg {
		i++
	}
	point := false
	for ; i < len(b); i++ {
		c := b[i]
		if c == '.' && !point && n > 0 {
			point = true
			continue
		}
		if !digit(c) {
			break
		}
		mant = mant*10 + uint64(c-'0')
		n++
		if point {
			after++
		}
	}
	if n == 0 || n > 15 || point && after == 0 || i+1 >= len(b) || b[i] != ' ' {
		return 0, false
	}
	p, ok := d.exact[string(b[i+1:])]
	if !ok || p.us == nil {
		return 0, false
	}
	e := p.us.ten - after
	if e < -22 || e > 6 {
		return 0, false
	}
	x := float64(mant)
	if e < 0 {
		x /= pow10[-e]
	} else {
		x *= pow10[e]
	}
	if neg && mant != 0 {
		x = -x
	}
	return p.us.worth(x) + 0, true
}

func (Mass) dim() *dimension { return &massUnits }

// String gives the exact value in kg, as few digits as read back to it.
func (x Mass) String() string { return text(x) }

// AppendText appends String.
func (x Mass) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Mass) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Mass) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Volume) dim() *dimension { return &volumeUnits }

// String gives the exact value in L, as few digits as read back to it.
func (x Volume) String() string { return text(x) }

// AppendText appends String.
func (x Volume) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Volume) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Volume) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Temp) dim() *dimension { return &tempUnits }

// String gives the exact value in C, as few digits as read back to it.
func (x Temp) String() string { return text(x) }

// AppendText appends String.
func (x Temp) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Temp) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Temp) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Strength) dim() *dimension { return &strengthUnits }

// String gives the exact value in %, as few digits as read back to it.
func (x Strength) String() string { return text(x) }

// AppendText appends String.
func (x Strength) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Strength) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Strength) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Length) dim() *dimension { return &lengthUnits }

// String gives the exact value in m, as few digits as read back to it.
func (x Length) String() string { return text(x) }

// AppendText appends String.
func (x Length) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Length) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Length) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Pressure) dim() *dimension { return &pressureUnits }

// String gives the exact value in Pa, as few digits as read back to it.
func (x Pressure) String() string { return text(x) }

// AppendText appends String.
func (x Pressure) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Pressure) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Pressure) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Power) dim() *dimension { return &powerUnits }

// String gives the exact value in W, as few digits as read back to it.
func (x Power) String() string { return text(x) }

// AppendText appends String.
func (x Power) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Power) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Power) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Energy) dim() *dimension { return &energyUnits }

// String gives the exact value in J, as few digits as read back to it.
func (x Energy) String() string { return text(x) }

// AppendText appends String.
func (x Energy) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Energy) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Energy) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Voltage) dim() *dimension { return &voltageUnits }

// String gives the exact value in V, as few digits as read back to it.
func (x Voltage) String() string { return text(x) }

// AppendText appends String.
func (x Voltage) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Voltage) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Voltage) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Current) dim() *dimension { return &currentUnits }

// String gives the exact value in A, as few digits as read back to it.
func (x Current) String() string { return text(x) }

// AppendText appends String.
func (x Current) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Current) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Current) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Duration) dim() *dimension { return &durationUnits }

// String gives the exact value in s, as few digits as read back to it.
func (x Duration) String() string { return text(x) }

// AppendText appends String.
func (x Duration) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Duration) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Duration) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Density) dim() *dimension { return &densityUnits }

// String gives the exact value in kg/m³, as few digits as read back to it.
func (x Density) String() string { return text(x) }

// AppendText appends String.
func (x Density) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Density) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Density) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Viscosity) dim() *dimension { return &viscosityUnits }

// String gives the exact value in mPa·s, as few digits as read back to it.
func (x Viscosity) String() string { return text(x) }

// AppendText appends String.
func (x Viscosity) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Viscosity) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Viscosity) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Area) dim() *dimension { return &areaUnits }

// String gives the exact value in dm², as few digits as read back to it.
func (x Area) String() string { return text(x) }

// AppendText appends String.
func (x Area) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Area) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Area) UnmarshalText(b []byte) error { return unmarshal(x, b) }

func (Flow) dim() *dimension { return &flowUnits }

// String gives the exact value in L/s, as few digits as read back to it.
func (x Flow) String() string { return text(x) }

// AppendText appends String.
func (x Flow) AppendText(b []byte) ([]byte, error) { return appendText(b, x), nil }

// MarshalText gives String.
func (x Flow) MarshalText() ([]byte, error) { return marshal(x) }

// UnmarshalText reads what String writes, or any certain unit.
func (x *Flow) UnmarshalText(b []byte) error { return unmarshal(x, b) }
