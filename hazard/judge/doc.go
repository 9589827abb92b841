// Package judge holds a second, plain engine and random seasons. Together they
// judge the first engine in package hazard: both must give the same flag and
// the same through-date for every paddock, use, class and hazard, and no
// worsening of a season may make a flag better.
//
// The plain engine asks every question by going through all entries again. It
// keeps the entries by date and remembers what it worked out of a night, a stand
// and the stock, and is otherwise slow, so that it can be read against the
// contract line by line. Only tests import this package.
package judge
