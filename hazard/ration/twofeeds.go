package ration

import (
	"errors"
	"fmt"
	"math"
)

// TwoFeeds returns the share (0 to 1, of dry matter) of the feed high in a
// mixture of two feeds that holds exactly target:
//
//	share = (target - low) / (high - low)
//
// It is the square or equation a = (b + c x) / (1 + x) of the mixing guideline
// of a laboratory in Nebraska (https://www.amaglab.com/nitrate-mixing-guideline/)
// solved for the share. All three are of one kind (ppm NO3-N, percent protein,
// ...). A target outside the two feeds is an error that says on which side.
func TwoFeeds(high, low, target float64) (share float64, err error) {
	for _, v := range []float64{high, low, target} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return 0, errors.New("a mixture needs three plain numbers: both feeds and the target")
		}
	}
	switch {
	case high < low:
		return 0, errors.New("the feeds are given the wrong way round; type the higher one first")
	case target >= high && target >= low && high == low:
		return 1, nil
	case target > high:
		return 0, fmt.Errorf("no mixture reaches %s: the higher feed holds %s; it needs no mixing", number(target, 2), number(high, 2))
	case target < low:
		return 0, fmt.Errorf("no mixture reaches %s: the lower feed alone holds %s", number(target, 2), number(low, 2))
	}
	return (target - low) / (high - low), nil
}
