package nws

import (
	"testing"

	"rimegate/weather/internal/readertest"
)

func FuzzRead(f *testing.F) {
	readertest.Fuzz(
		f, Format.Stream,
		`{"features":[{"properties":{"station":"s/KTST","timestamp":"2025-10-15T08:53:00+00:00","rawMessage":"KTST 150853Z 00000KT M01/M02 RMK T10061017 21017","temperature":{"unitCode":"wmoUnit:degC","value":null}}}]}`,
	)
}
