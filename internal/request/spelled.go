package request

// spelled reads a number in words: "two hundred and fifty", "cuatrocientos",
// "trois cent cinquante", "quatre-vingt-dix".
func (s *sentence) spelled(i int) (amount, int, bool) {
	var sum, part int64
	next := i
	for next < len(s.toks) && s.free(next) && s.toks[next].kind == word {
		e := s.toks[next].known
		switch {
		case s.toks[next].text == "vingt" && part%10 == 4, s.toks[next].text == "vingts" && part%10 == 4: // four twenties
			part += 76
		case e.number > 0 && goesUnder(e.number, part):
			part += e.number
		case e.hundred == 1000 && !s.unitLast(i, next):
			sum, part = sum+max(part, 1)*1000, 0
		case e.hundred == 100 && part < 10:
			part = max(part, 1) * 100
		case e.role&andWord != 0 && part >= 20 && s.numberWord(next+1) && goesUnder(s.toks[next+1].known.number, part):
		default:
			return amount{n: sum + part, d: 1}, next, next > i
		}
		next++
	}
	return amount{n: sum + part, d: 1}, next, next > i
}

// goesUnder says that a number goes on what was said before it: tens on
// hundreds, ones on tens, and in French ten to nineteen on sixty and eighty.
func goesUnder(n, part int64) bool {
	switch {
	case part == 0:
		return true
	case part%100 == 0:
		return n < 100
	case part%100 == 60 || part%100 == 80:
		return n < 20
	}
	return part%10 == 0 && part%100 >= 20 && n < 10
}

// numberWord says that a number in a word stands at i.
func (s *sentence) numberWord(i int) bool {
	return s.free(i) && s.toks[i].kind == word && s.toks[i].known.number > 0
}

// unitLast says that the word at i ends a number that began before it and is
// its unit: "500 mil" are millilitres.
func (s *sentence) unitLast(from, i int) bool {
	_, _, after := s.unitAt(i + 1)
	return i > from && len(s.toks[i].known.units) > 0 && !after
}

// multiplied reads what multiplies digits: "5 hundred".
func (s *sentence) multiplied(a amount, i int) (amount, int, bool) {
	if !s.free(i) || s.toks[i].kind != word || s.toks[i].known.hundred == 0 || len(s.toks[i].known.units) > 0 {
		return a, i, false
	}
	n, whole := a.whole()
	if !whole || n < 1 || n > 20 {
		return a, i, false
	}
	return amount{n: n * s.toks[i].known.hundred, d: 1}, i + 1, true
}

// partAt reads the parts that a number counts: "three quarters", "un tiers".
func (s *sentence) partAt(i int, a amount) (amount, int, bool) {
	n, whole := a.whole()
	if !whole || !s.free(i) || s.toks[i].kind != word {
		return a, i, false
	}
	f := s.toks[i].known.fraction
	if f.d < 3 || n < 1 || n > f.d || n == 1 && s.toks[i-1].kind == number {
		return a, i, false
	}
	return amount{n: n * f.n, d: f.d}, i + 1, true
}
