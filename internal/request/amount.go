package request

import (
	"math"
	"strings"
	"unicode/utf8"
)

// amount is a number as typed, exact: n over d. Where one mark stands before
// three digits it can be read as a thousand too ("1.000", "1,000"), and
// thousand holds that reading.
type amount struct {
	n, d     int64
	thousand int64
	bad      bool // too long, or no number that means anything
}

// clockTime is a number with colons: a time of day or minutes and seconds.
type clockTime struct {
	h, m, s int16
	seconds bool  // the seconds were said
	padded  bool  // the hour has a leading zero
	hours   bool  // an "h" stands in it, so that as a span it is hours and minutes
	zoned   bool  // the offset was said
	offset  int32 // seconds east of Greenwich
}

// vulgar are the fractions that have a character of their own.
var vulgar = map[rune]amount{
	'½': {n: 1, d: 2}, '¼': {n: 1, d: 4}, '¾': {n: 3, d: 4}, '⅓': {n: 1, d: 3}, '⅔': {n: 2, d: 3},
}

// plain gives the number as a small unit counts it: "1.000" is a thousand.
func (a amount) plain() amount {
	if a.thousand > 0 {
		return amount{n: a.thousand, d: 1}
	}
	return a
}

// times gives the amount in units of size, rounded.
func (a amount) times(size int64) (int64, bool) {
	if a.bad || a.d == 0 || size != 0 && (a.n > math.MaxInt64/size/2 || a.n < -math.MaxInt64/size/2) {
		return 0, false
	}
	twice := 2 * a.n * size
	if twice < 0 {
		return (twice - a.d) / (2 * a.d), true
	}
	return (twice + a.d) / (2 * a.d), true
}

// whole gives the amount as an integer, if it is one.
func (a amount) whole() (int64, bool) {
	if a.bad || a.d == 0 || a.n%a.d != 0 {
		return 0, false
	}
	return a.n / a.d, true
}

// plus gives the sum of two amounts.
func (a amount) plus(b amount) amount {
	return amount{n: a.n*b.d + b.n*a.d, d: a.d * b.d, bad: a.bad || b.bad}
}

// atMost says that the amount is not above n.
func (a amount) atMost(n int64) bool { return !a.bad && a.d > 0 && a.n <= n*a.d }

// atLeast says that the amount is not below n.
func (a amount) atLeast(n int64) bool { return !a.bad && a.d > 0 && a.n >= n*a.d }

// startsNumber says that the mark at i begins a number (".5", "-18") and
// doesn't stand between two things ("gin,500", "250-300").
func (l *line) startsNumber(i, size int) bool {
	next := i + size
	if next >= len(l.src) || !isDigit(l.src[next]) {
		return false
	}
	before, _ := utf8.DecodeLastRuneInString(l.src[:i])
	return i == 0 || !isLetter(before) && (before < '0' || before > '9')
}

func (l *line) touchesNumber(i int) bool {
	n := len(l.toks)
	return n > 0 && l.toks[n-1].kind == number && l.toks[n-1].end == i
}

// number reads the number that begins at i: an integer, a decimal with a point
// or a comma, a fraction, a clock time.
func (l *line) number(i int) int {
	s := l.src[i:]
	if t, n := scanDate(s); n > 0 {
		l.add(token{kind: date, text: s[:n], at: i, end: i + n, time: t})
		return i + n
	}
	if t, n := scanClock(s); n > 0 {
		l.add(token{kind: clock, text: s[:n], at: i, end: i + n, time: t})
		return i + n
	}
	if a, n := scanFraction(s); n > 0 {
		l.fraction(i, i+n, a)
		return i + n
	}
	if n := scanRound(s); n > 0 {
		a := decimal(strings.Map(zero, s[:n]), "", true)
		l.add(token{kind: number, text: strings.Map(zero, s[:n]), at: i, end: i + n, num: a})
		return i + n
	}
	a, n := scanDecimal(s)
	t := token{kind: number, text: s[:n], at: i, end: i + n, num: a}
	if before := l.spacedThousand(t); before != nil {
		before.num = amount{n: before.num.n*1000 + a.n, d: 1}
		before.thousand(i + n)
		return i + n
	}
	l.add(t)
	return i + n
}

// spacedThousand gives the number before t if both are one: "1 000". Three
// digits with a leading zero are nothing else.
func (l *line) spacedThousand(t token) *token {
	if len(t.text) != 3 || t.text[0] != '0' || strings.ContainsAny(t.text, ".,") || len(l.toks) == 0 {
		return nil
	}
	before := &l.toks[len(l.toks)-1]
	if before.kind != number || !before.integer() || len(before.text) > 3 || t.at-before.end > 3 || t.at == before.end {
		return nil
	}
	return before
}

// integer says that the token is plain digits.
func (t *token) integer() bool { return t.num.d == 1 && !t.num.bad && isDigits(t.text) }

// thousand makes t end at the given byte and count as a thousand only.
func (t *token) thousand(end int) {
	t.num.thousand, t.end, t.text = t.num.n, end, "thousand"
}

// fraction adds a fraction, joined to a whole number before it: "1 1/2", "1½".
func (l *line) fraction(at, end int, a amount) {
	if n := len(l.toks); n > 0 {
		before := &l.toks[n-1]
		counted := n > 1 && l.toks[n-2].text == "x" && before.glued // "x2 1/2 l" are two halves
		if before.kind == number && before.integer() && at-before.end <= 2 && !counted && a.n < a.d {
			before.num = before.num.plus(a)
			before.end, before.text = end, l.src[before.at:end]
			return
		}
	}
	l.add(token{kind: number, text: l.src[at:end], at: at, end: end, num: a})
}

// maxDigits keeps every number far from what an integer can hold.
const maxDigits = 9

// scanDecimal reads digits with points and commas. It always reads something.
func scanDecimal(s string) (amount, int) {
	i, negative := 0, false
	for !isDigit(s[i]) && s[i] != '.' && s[i] != ',' {
		negative = true
		i++
	}
	var groups []string
	var marks []byte
	for {
		n := digits(s[i:])
		groups = append(groups, s[i:i+n])
		i += n
		if i+1 >= len(s) || s[i] != '.' && s[i] != ',' || !isDigit(s[i+1]) {
			break
		}
		marks = append(marks, s[i])
		i++
	}
	a := amountOf(groups, marks)
	if negative {
		a.n, a.thousand = -a.n, 0
	}
	return a, i
}

// amountOf makes a number of its groups of digits and the marks between them.
func amountOf(groups []string, marks []byte) amount {
	head, tail := groups[0], groups[1:]
	grouped := len(head) > 0 && len(head) <= 3 && head[0] != '0'
	for k, g := range tail {
		last := k == len(tail)-1
		switch {
		case len(g) == 3 && marks[k] == marks[0]:
		case last && k > 0 && marks[k] != marks[0]: // "1.000,5"
			tail = tail[:k]
			return decimal(head+strings.Join(tail, ""), g, grouped)
		default:
			grouped = false
		}
	}
	switch {
	case len(tail) == 0:
		return decimal(head, "", true)
	case len(tail) == 1:
		a := decimal(head, tail[0], true)
		if grouped {
			a.thousand = decimal(head+tail[0], "", true).n
		}
		return a
	}
	a := decimal(head+strings.Join(tail, ""), "", grouped)
	a.thousand = a.n
	return a
}

func decimal(whole, part string, ok bool) amount {
	if !ok || len(whole)+len(part) > maxDigits {
		return amount{d: 1, bad: true}
	}
	a := amount{d: 1}
	for _, c := range []byte(whole + part) {
		a.n = a.n*10 + int64(c-'0')
	}
	for range part {
		a.d *= 10
	}
	return a
}

// scanFraction reads "1/2". A date ("24/11") is none.
func scanFraction(s string) (amount, int) {
	n := digits(s)
	if n == 0 || n > 2 || n+1 >= len(s) || s[n] != '/' {
		return amount{}, 0
	}
	m := digits(s[n+1:])
	if m == 0 || m > 2 {
		return amount{}, 0
	}
	a, b := decimal(s[:n], "", true), decimal(s[n+1:n+1+m], "", true)
	if b.n == 0 || a.n >= b.n {
		return amount{d: 1, bad: true}, n + 1 + m
	}
	return amount{n: a.n, d: b.n}, n + 1 + m
}

// scanDate reads "2026-11-28" as a year, a month and a day.
func scanDate(s string) (clockTime, int) {
	if len(s) < 10 || digits(s) != 4 || s[4] != '-' || digits(s[5:]) != 2 || s[7] != '-' || digits(s[8:]) != 2 {
		return clockTime{}, 0
	}
	return clockTime{h: atoi(s[:4]), m: atoi(s[5:7]), s: atoi(s[8:10])}, 10
}

// scanRound gives the length of a number in which the letter O stands for
// zeros: "5OOml". It doesn't read "2oz".
func scanRound(s string) int {
	d := digits(s)
	n, letters := d, 0
	for n < len(s) && (isDigit(s[n]) || s[n] == 'o' || s[n] == 'O') {
		if !isDigit(s[n]) {
			letters++
		}
		n++
	}
	if d == 0 || letters == 0 || n > maxDigits {
		return 0
	}
	rest := s[n:]
	for _, u := range []string{"ml", "ML", "mL", "cl", "CL", "g", "G"} {
		rest = strings.TrimPrefix(rest, u)
	}
	if r, _ := utf8.DecodeRuneInString(rest); rest != "" && (isLetter(r) || isDigit(rest[0])) {
		return 0
	}
	return n
}

// zero writes the letter O as the digit it was meant for.
func zero(r rune) rune {
	if r == 'o' || r == 'O' {
		return '0'
	}
	return r
}

// scanClock reads "18:06", "18:06:20", "18:06:20+02:00" and "18h06".
func scanClock(s string) (clockTime, int) {
	h, i := digits(s), 0
	if (h == 1 || h == 2) && len(s) >= h+3 && (s[h] == 'h' || s[h] == 'H') && digits(s[h+1:]) == 2 {
		return clockTime{h: atoi(s[:h]), m: atoi(s[h+1 : h+3]), padded: s[0] == '0', hours: true}, h + 3
	}
	if h == 0 || h > 2 || !colonPair(s[h:]) {
		return clockTime{}, 0
	}
	t := clockTime{h: atoi(s[:h]), m: atoi(s[h+1 : h+3]), padded: s[0] == '0'}
	i = h + 3
	if colonPair(s[i:]) {
		t.s, t.seconds = atoi(s[i+1:i+3]), true
		i += 3
	}
	if t.seconds && i+3 <= len(s) && (s[i] == '+' || s[i] == '-') && digits(s[i+1:]) == 2 && colonPair(s[i+3:]) {
		t.offset, t.zoned = int32(atoi(s[i+1:i+3]))*3600+int32(atoi(s[i+4:i+6]))*60, true
		if s[i] == '-' {
			t.offset = -t.offset
		}
		i += 6
	}
	return t, i
}

// colonPair says that s begins with a colon and exactly two digits.
func colonPair(s string) bool { return len(s) >= 3 && s[0] == ':' && digits(s[1:]) == 2 }

func digits(s string) int {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return n
}

func isDigits(s string) bool { return s != "" && digits(s) == len(s) }

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// atoi gives a few digits as a number.
func atoi(s string) int16 {
	n := int16(0)
	for _, c := range []byte(s) {
		n = n*10 + int16(c-'0')
	}
	return n
}
