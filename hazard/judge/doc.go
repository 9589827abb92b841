// Package judge holds a second, plain engine and random seasons. Together they
// judge the first engine in package hazard: both must give the same flag and
// the same through-date for every paddock, use, class and hazard, and no
// worsening of a season may make a flag better.
//
// The plain engine asks every question by going through all entries again. It
// is slow and keeps no index but one memo of nights, so that it can be read
// against the contract line by line. Only tests import this package.
package judge
