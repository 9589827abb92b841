package fields

import (
	"fmt"
	"sync"
	"time"
	_ "time/tzdata" // a farm computer may have no zone database
)

// zones are those loaded already: a farm has one, and every fold asks for it.
var zones sync.Map

// LoadZone returns the location of an IANA zone name. "Local" and the empty
// name are refused: the farm's zone is a fact of the journal, not of the
// computer that happens to read it.
func LoadZone(name string) (*time.Location, error) {
	if loc, ok := zones.Load(name); ok {
		return loc.(*time.Location), nil
	}
	if name != "" && name != "Local" {
		if loc, err := time.LoadLocation(name); err == nil {
			zones.Store(name, loc)
			return loc, nil
		}
	}
	return nil, fmt.Errorf("%q is not a time zone; use an IANA name such as America/Regina", name)
}
