// Package weather turns thermometer readings into nights: the low of each
// night, whether the night was read throughout, and how long it was cold. It
// also holds the arithmetic around a frost: hours below a threshold from daily
// extremes, sun times, dew point, tonight's minimum, the offset between a
// station and a paddock, and the odds of the first frost.
//
// Temperatures are in degrees Celsius, wind in metres per second, durations in
// hours. A night of D runs from 12:00 on D-1 up to 12:00 on D, farm time.
//
// The package reads no files, no clock and no network. The readers of published
// formats live in the sub-packages; package formats names and detects them.
package weather
