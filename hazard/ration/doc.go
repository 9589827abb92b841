// Package ration works out what a person feeds: it reads a laboratory figure
// as typed, adds the nitrate of feed and water, solves blends, plans samples
// and says how far a sample can be trusted.
//
// No flag depends on it. A blend that is good enough to feed leaves the flag of
// every lot in it as it was, and a confidence limit never clears anything.
//
// Inside, nitrate is ppm NO3-N on dry matter (mg/kg), water mg NO3-N per litre,
// weights kg, shares percent of the ration's dry matter. The package is pure:
// no files, no clock, no network.
package ration
