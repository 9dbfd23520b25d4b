package season

import (
	"strings"

	"larder/internal/fault"
)

func noService(say string) error {
	return fault.New(fault.NotUnderstood, "", say).
		WithHint("for example https://weather.example/daily?latitude={lat}&longitude={lon}&start_date={from}&end_date={to}")
}

// checkService looks at the address of a weather service as far as can be done
// without the network: it is looked at again when it is used.
func checkService(v string) error {
	rest, ok := strings.CutPrefix(v, "https://")
	if !ok {
		rest, ok = strings.CutPrefix(v, "http://")
	}
	host, _, _ := strings.Cut(rest, "/")
	switch {
	case !ok || host == "" || strings.HasPrefix(host, "?"):
		return noService("this is not an address on the web")
	case len(v) > 1000 || strings.ContainsFunc(v, func(r rune) bool { return r <= ' ' || r > '~' }):
		return noService("an address has no spaces or odd signs, and at most 1000 of them")
	case strings.Contains(host, "@"):
		return noService("a name and password do not belong in the address")
	case strings.ContainsAny(host, "{}"):
		return noService("place and days come after the name of the service")
	case !strings.Contains(v, "{lat}") || !strings.Contains(v, "{lon}"):
		return noService("the address does not say where the place goes")
	}
	for _, part := range strings.Split(v, "{")[1:] {
		name, _, closed := strings.Cut(part, "}")
		if !closed || name != "lat" && name != "lon" && name != "from" && name != "to" {
			return noService("only {lat}, {lon}, {from} and {to} are filled in")
		}
	}
	return nil
}
