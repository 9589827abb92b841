package ghcnh

import (
	"testing"

	"rimegate/weather/internal/readertest"
)

func FuzzRead(f *testing.F) {
	readertest.Fuzz(
		f, Format.Stream,
		"STATION|DATE|temperature|temperature_Quality_Code\n"+
			"USW00099999|2025-10-14T10:53:00|-2.2|1\n"+
			"USW00099999|2025-10-14 24:00|\"-2.2\"|\n"+
			"USW00099999|2025-10-14T11:53Z|-99.9|5\n",
	)
}
