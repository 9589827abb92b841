package farm

import (
	"rimegate/fields"
	"rimegate/weather"
)

// NightHours is how long a thermometer stood at or below 0 and -2.2 °C in one
// night. Nothing is decided by it.
type NightHours struct {
	Below0, BelowKill *float64 // nil: not known
	Rebuilt           bool     // reconstructed from daily extremes, not measured
}

// Any reports whether there is something to tell: some hour of frost.
func (h NightHours) Any() bool { return h.Below0 != nil && *h.Below0 > 0 }

// NightHours returns the hours that the readings among the named entries tell. The
// longest counts; reconstructed hours are told only where none were measured, so
// that the two are never mixed.
func (v *View) NightHours(ids []string) NightHours {
	var measured, rebuilt NightHours
	longer := func(h *NightHours, h0, hk *float64) {
		if h0 != nil && (h.Below0 == nil || *h0 > *h.Below0) {
			h.Below0 = h0
		}
		if hk != nil && (h.BelowKill == nil || *hk > *h.BelowKill) {
			h.BelowKill = hk
		}
	}
	for _, id := range ids {
		b := v.readings()[id]
		if b == nil {
			continue
		}
		longer(&measured, b.HoursBelow0, b.HoursBelowKill)
		if r, ok := weather.FindRebuilt(b.Source); ok {
			longer(&rebuilt, &r.Below0, &r.BelowKill)
		}
	}
	if measured.Below0 == nil && measured.BelowKill == nil {
		rebuilt.Rebuilt = rebuilt.Below0 != nil
		return rebuilt
	}
	return measured
}

// readings are the journal's readings by entry.
func (v *View) readings() map[string]*fields.Reading {
	if v.byID == nil {
		v.byID = map[string]*fields.Reading{}
		for i := range v.Entries {
			if b, ok := v.Entries[i].Body.(*fields.Reading); ok {
				v.byID[v.Entries[i].ID] = b
			}
		}
	}
	return v.byID
}

// Place is where a station stands: by its own entry, or else the farm; nil if
// neither says.
func (v *View) Place(station string) *weather.Place {
	if s := v.History.Station(station); s != nil && s.Lat != nil && s.Lon != nil {
		return &weather.Place{Lat: *s.Lat, Lon: *s.Lon}
	}
	return v.FarmPlace()
}

// FarmPlace is where the farm lies, by its sunrise a night ends; nil if not said.
func (v *View) FarmPlace() *weather.Place {
	h := v.History.Farm
	if h.Lat == nil || h.Lon == nil {
		return nil
	}
	return &weather.Place{Lat: *h.Lat, Lon: *h.Lon}
}
