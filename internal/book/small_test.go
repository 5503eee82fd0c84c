package book_test

import (
	"strings"
	"testing"

	"ventbell/internal/book"
)

// small is the smallest book with one of everything; the tests spoil it one
// line at a time.
const small = `house:
  name: test house
  language: en
  zone: Europe/Brussels
  country: BE
  licensed: yes
  bottle: 700 ml
  from: {demo: [bottle]}
vessels:
  - tag: A
    nominal: 0.5 l
    line: 500 ml
    brim: 710 ml
    charger_limit: 2
    stamped_pressure: 25 bar
    material: steel
    head: steel
    from: {demo: [nominal, line, brim, charger_limit, stamped_pressure]}
classes:
  - family: spirit
    kinds: [fruit]
    ratio: {min: 10 g/100ml, target: 20 g/100ml, max: 50 g/100ml}
    temp: {min: 18 C, target: 20 C, max: 24 C}
    proven: 0.5 l
    chargers: 2
    swirl: 30 s
    rest: {min: 60 s, target: 2 min, max: 5 min}
    settle: 3 min
    contact: 20 min
    judge_after: 12 min
    storage: fridge
    from: {estimate: [ratio, temp, proven, chargers, swirl, rest, settle, contact, judge_after]}
liquids:
  - {name: gin, family: spirit, strength: 40 %, from: {demo: [strength]}}
  - {name: olive oil, family: oil}
botanicals:
  - name: rhubarb
    kind: fruit
    water_in_100g: 93.6 g
    fat_in_100g: 0.2 g
    retention: 0.2 ml/g
    from: {published: {a food table: [water_in_100g, fat_in_100g]}, estimate: [retention]}
  - {name: rhubarb leaf, refused: oxalates}
recipes:
  - name: rhubarb gin
    aliases: [gin with rhubarb]
    solid: rhubarb
    base: gin
    batch: 400 ml
    ratio: 20 g/100ml
    prep: stalk, 5 mm
    choose: red to the heart
    use: with tonic
    temp: {min: 18 C, target: 20 C, max: 24 C}
    proven: 0.5 l
    chargers: 2
    swirl: 30 s
    rest: {min: 60 s, target: 2 min, max: 5 min}
    settle: 3 min
    contact: 20 min
    judge_after: 14 min
    storage: fridge
    from:
      common practice: [chargers, swirl, rest, settle, judge_after]
      estimate: [ratio, temp, contact]
      demo: [batch, proven]
`

// spoil replaces the first old after the line that begins with where.
func spoil(t *testing.T, where, old, replacement string) string {
	t.Helper()
	head := ""
	tail := small
	if where != "" {
		i := strings.Index(small, where)
		if i < 0 {
			t.Fatalf("the small book has no %q", where)
		}
		head, tail = small[:i], small[i:]
	}
	if !strings.Contains(tail, old) {
		t.Fatalf("the small book has no %q after %q", old, where)
	}
	return head + strings.Replace(tail, old, replacement, 1)
}

func mustParse(t *testing.T, src string) *book.Book {
	t.Helper()
	b, err := book.Parse([]byte(src))
	if err != nil {
		t.Fatal(err)
	}
	return b
}
