package request

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"ventbell/internal/book"
)

// kind is what a token is.
type kind uint8

const (
	word kind = iota + 1
	number
	clock
	date
	sign    // "+", "°", "%", and a prime or a second after a number
	mention // "@bell"; the reader drops it
)

// token is one piece of a line.
type token struct {
	text    string // small letters, without accents
	at, end int    // its bytes in the line
	num     amount
	time    clockTime
	role    role
	kind    kind
	known   *entry // what the tables and the book say of it; set when the line is read
	glued   bool   // it follows the token before it without a gap
	accents tongue // that its accents tell of
	sharp   bool   // it ends in a sharp accent: "vidé"
	capital bool   // it begins with a capital letter
	colon   bool   // a colon follows it
	used    bool   // something has been read from it
	tag     bool   // it is the tag of a vessel that is introduced as such
	name    bool   // it belongs to a name that is said in full
}

// line is one line, cut into tokens. What is no word, number or sign is a gap:
// punctuation, emoji and their names, a mention, bytes that are not UTF-8.
type line struct {
	src   string
	toks  []token
	asked bool // a question mark stands in it
	loud  bool // it has no small letter, so that a capital says nothing
}

// cut makes a line of what was typed. Of a line with far too many pieces the end
// is left off: it is only looked through for trouble.
func cut(src string) line {
	l := line{src: src, toks: make([]token, 0, len(src)/4+3), loud: !strings.ContainsFunc(src, unicode.IsLower)}
	for i := listed(src); i < len(src) && len(l.toks) < 4*mostWords; {
		i = l.next(i)
	}
	return l
}

// listed gives the length of the number that a line has in a list: "1. ", "2) ".
func listed(s string) int {
	n := digits(s)
	if n == 0 || n > 2 || len(s) < n+3 || s[n] != '.' && s[n] != ')' || s[n+1] != ' ' || isDigit(s[n+2]) {
		return 0
	}
	return n + 2
}

// next reads what stands at byte i and gives the byte after it.
func (l *line) next(i int) int {
	rest := l.src[i:]
	r, size := utf8.DecodeRuneInString(rest)
	after := i + size
	switch {
	case r == utf8.RuneError:
	case r >= '0' && r <= '9', (r == '.' || r == ',' || r == '-' || r == '−') && l.startsNumber(i, size):
		return l.number(i)
	case r >= utf8.RuneSelf && pictures[r] != "":
		l.add(token{kind: word, text: pictures[r], at: i, end: after})
		return l.over(after)
	case vulgar[r].d != 0:
		l.fraction(i, after, vulgar[r])
	case r == '×':
		l.add(token{kind: word, text: "x", at: i, end: after})
	case r == '&':
		l.add(token{kind: word, text: "and", at: i, end: after})
	case r == '*' && l.multiplies(i):
		l.add(token{kind: word, text: "x", at: i, end: after})
	case isLetter(r):
		if n := dotted(rest); n > 0 {
			l.add(token{kind: word, text: strings.ToLower(strings.ReplaceAll(l.src[i:i+n], ".", "")), at: i, end: i + n})
			return i + n
		}
		return l.word(i)
	case r == '+' || r == '°' || r == 'º' || r == '%':
		l.sign(i, after, r)
	case primes[r] != "" && l.touchesNumber(i):
		l.add(token{kind: sign, text: primes[r], at: i, end: after})
	case r == '<':
		return i + markup(rest)
	case r == ':':
		return l.colon(i)
	case r == '@':
		return l.mention(i)
	case r == '/' && len(l.toks) == 0:
		return i + command(rest)
	case r == '?' || r == '？':
		l.asked = true
	}
	return after
}

// multiplies says that the star at i stands between a number or its unit and a
// number: "500ml*2".
func (l *line) multiplies(i int) bool {
	n := len(l.toks)
	return n > 0 && l.toks[n-1].end == i && i+1 < len(l.src) && isDigit(l.src[i+1]) && (l.toks[n-1].kind == number || n > 1 && l.toks[n-2].kind == number)
}

// dotted gives the length of a short word typed with points: "c.c.", "p.m.".
func dotted(s string) int {
	if len(s) < 3 || s[1] != '.' {
		return 0
	}
	switch strings.ToLower(s[:1] + s[2:3]) {
	case "cc", "am", "pm", "ml", "cl":
	default:
		return 0
	}
	n := 3
	if len(s) > n && s[n] == '.' {
		n++
	}
	if r, _ := utf8.DecodeRuneInString(s[n:]); len(s) > n && isLetter(r) {
		return 0
	}
	return n
}

// primes are the marks that mean minutes and seconds after a number.
var primes = map[rune]string{'\'': "'", '’': "'", '′': "'", '"': `"`, '”': `"`, '″': `"`}

func (l *line) add(t token) {
	if n := len(l.toks); n > 0 && l.toks[n-1].end == t.at {
		t.glued = true
	}
	l.toks = append(l.toks, t)
}

func (l *line) sign(at, end int, r rune) {
	text := string(r)
	if r == 'º' {
		text = "°"
	}
	l.add(token{kind: sign, text: text, at: at, end: end})
}

// word reads the word that begins at i. An apostrophe inside belongs to it.
func (l *line) word(i int) int {
	end := i
	plain := true
	for end < len(l.src) {
		r, size := utf8.DecodeRuneInString(l.src[end:])
		switch {
		case r >= 'a' && r <= 'z':
		case isLetter(r), isSilent(r), isApostrophe(r) && l.letterAt(end+size):
			plain = false
		default:
			size = 0
		}
		if size == 0 {
			break
		}
		end += size
	}
	if n := elided(l.src[i:end]); n > 0 {
		l.piece(i, i+n, plain)
		l.piece(i+n, end, plain)
		return end
	}
	if n := l.possessed(i, end); n > 0 { // "A's"
		l.piece(i, i+n, plain)
		i += n
	}
	l.piece(i, end, plain)
	return end
}

// possessed gives the length of a letter that an "is" was drawn together with.
func (l *line) possessed(i, end int) int {
	r, size := utf8.DecodeRuneInString(l.src[i+1:])
	if size > 0 && isApostrophe(r) && i+1+size < end && l.src[i+1+size:end] == "s" && l.src[i] < utf8.RuneSelf {
		return 1
	}
	return 0
}

// piece adds the word from i up to end; plain says that it is small letters
// without accents already.
func (l *line) piece(i, end int, plain bool) {
	raw := l.src[i:end]
	first, _ := utf8.DecodeRuneInString(raw)
	t := token{kind: word, text: raw, at: i, end: end, capital: unicode.IsUpper(first)}
	if !plain {
		tidied := strings.ReplaceAll(strings.ToLower(strings.Map(tidy, raw)), "e\u0301", "é")
		t.sharp = strings.HasSuffix(tidied, "é") || strings.HasSuffix(tidied, "ée") || strings.HasSuffix(tidied, "ó")
		t.accents = accentsOf(tidied)
		t.text = book.Fold(tidied)
		if kept := accented[tidied]; kept {
			t.text = tidied
		}
	}
	l.add(t)
}

// accented are the words that another word looks like without its accent: the
// French and Spanish tea ("the", "te"), the French "at" ("a").
var accented = map[string]bool{"thé": true, "té": true, "à": true}

// elided gives the length of a French word that lost its vowel before the next
// one ("l'eau", "d'ail", "qu'il"), with its apostrophe; 0 where there is none.
func elided(s string) int {
	n := 1
	if strings.HasPrefix(s, "qu") || strings.HasPrefix(s, "Qu") || strings.HasPrefix(s, "QU") {
		n = 2
	} else if s == "" || strings.IndexByte("ldjmtsncLDJMTSNC", s[0]) < 0 {
		return 0
	}
	r, size := utf8.DecodeRuneInString(s[n:])
	if !isApostrophe(r) || n+size >= len(s) {
		return 0
	}
	return n + size
}

// pictures are the emoji that name a thing or say that it is done.
var pictures = map[rune]string{
	'🌶': "chile", '🍋': "lemon", '🍊': "orange", '🌿': "basil", '🥒': "cucumber", '🍍': "pineapple", '🍓': "strawberry", '🍎': "apple",
	'🍏': "apple", '🍐': "pear", '🍑': "peach", '🍒': "cherry", '🥭': "mango", '🥥': "coconut", '🫐': "blueberry", '🧄': "garlic",
	'🫚': "ginger", '☕': "coffee", '🍵': "tea", '🍫': "cacao", '🥜': "peanut", '🥛': "milk", '💧': "water", '🧊': "cold", '🥕': "carrot",
	'🍅': "tomato", '🌰': "chestnut", '🌹': "rose", '🫒': "olive", '🍌': "banana", '🍉': "watermelon", '🍈': "melon", '🍇': "grape",
	'🌽': "corn", '🍿': "popcorn", '🫑': "capsicum",
	'👍': "👍", '✅': "👍", '👌': "👍", '✔': "👍", '☑': "👍", '🆘': "help",
}

// pictureNames are the same, as a chat writes their names between colons.
var pictureNames = map[string]string{
	"hot_pepper": "chile", "lemon": "lemon", "tangerine": "orange", "herb": "basil", "cucumber": "cucumber", "pineapple": "pineapple",
	"strawberry": "strawberry", "apple": "apple", "green_apple": "apple", "pear": "pear", "peach": "peach", "cherries": "cherry",
	"mango": "mango", "coconut": "coconut", "blueberries": "blueberry", "garlic": "garlic", "ginger_root": "ginger", "coffee": "coffee",
	"tea": "tea", "chocolate_bar": "cacao", "peanuts": "peanut", "glass_of_milk": "milk", "droplet": "water", "ice_cube": "cold",
	"+1": "👍", "thumbsup": "👍", "white_check_mark": "👍", "heavy_check_mark": "👍", "ok_hand": "👍", "sos": "help",
}

// over passes over what belongs to the emoji before i: its colour, its style.
func (l *line) over(i int) int {
	for i < len(l.src) {
		r, size := utf8.DecodeRuneInString(l.src[i:])
		if !isSilent(r) && (r < 0x1F3FB || r > 0x1F3FF) {
			break
		}
		i += size
	}
	return i
}

// tidy writes every apostrophe alike and drops what cannot be seen.
func tidy(r rune) rune {
	switch {
	case isApostrophe(r):
		return '\''
	case isSilent(r) && !unicode.Is(unicode.Mn, r):
		return -1
	}
	return r
}

// isLetter says that r is part of a word. Digits of other scripts are: they
// then are a word nobody knows, and no number is passed over in silence.
func isLetter(r rune) bool {
	switch {
	case r < utf8.RuneSelf:
		return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z'
	case r == 'º', vulgar[r].d != 0:
		return false
	}
	// A letter in a circle or a square may stand for a vessel, so it isn't passed
	// over like an emoji.
	return unicode.IsLetter(r) || unicode.IsNumber(r) || unicode.Is(unicode.Other_Alphabetic, r)
}

// isSilent says that r is not seen by itself: accents typed apart, joiners,
// marks of direction.
func isSilent(r rune) bool {
	return r >= utf8.RuneSelf && (unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Me, r) || unicode.Is(unicode.Cf, r))
}

func isApostrophe(r rune) bool { return r == '\'' || r == '’' || r == '‘' || r == 'ʼ' }

func (l *line) letterAt(i int) bool {
	r, _ := utf8.DecodeRuneInString(l.src[i:])
	return isLetter(r)
}

// markup gives the length of what the chat wrote between angle brackets: a
// mention, a channel, a link.
func markup(s string) int {
	if len(s) > 1 && strings.IndexByte("@!#hm", s[1]) >= 0 {
		if end := strings.IndexByte(s, '>'); end > 0 {
			return end + 1
		}
	}
	return 1
}

// colon passes over an emoji's name (":hot_pepper:"), else notes the colon on
// the token before it.
func (l *line) colon(i int) int {
	before := len(l.toks) - 1
	touches := before >= 0 && l.toks[before].end == i
	if !touches {
		for j := i + 1; j < len(l.src); j++ {
			switch c := l.src[j]; {
			case c == ':' && j > i+2: // ":a:" rather is a vessel
				if text := pictureNames[l.src[i+1:j]]; text != "" {
					l.add(token{kind: word, text: text, at: i, end: j + 1})
				}
				return j + 1
			case c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '_' || c == '+' || c == '-':
			default:
				return i + 1
			}
		}
		return i + 1
	}
	l.toks[before].colon = true
	return i + 1
}

// mention reads a name ("@bell", "@bar-1"). Before anything else the sign
// means "at".
func (l *line) mention(i int) int {
	end := i + 1
	for end < len(l.src) && isNameByte(l.src[end]) {
		end++
	}
	if end == i+1 || l.src[i+1] >= '0' && l.src[i+1] <= '9' {
		l.add(token{kind: word, text: "at", at: i, end: i + 1})
		return i + 1
	}
	l.add(token{kind: mention, text: book.Fold(l.src[i+1 : end]), at: i, end: end})
	return end
}

func isNameByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.'
}

// command gives the length of a slash command's own name.
func command(s string) int {
	end := 1
	for end < len(s) && isNameByte(s[end]) {
		end++
	}
	return end
}

// free says that there is a token at i from which nothing has been read.
func (l *line) free(i int) bool {
	return i >= 0 && i < len(l.toks) && !l.toks[i].used && !l.toks[i].name
}

// phraseAt gives the end of a phrase of the kind that stands at i.
func (l *line) phraseAt(i int, is phraseKind) (int, bool) {
	if !l.free(i) {
		return i, false
	}
	for _, p := range l.toks[i].known.phrases {
		if p.is != is {
			continue
		}
		if end, ok := l.follows(i, p.words); ok {
			return end, true
		}
	}
	return i, false
}

// is says that the token at i is free and has the role.
func (l *line) is(i int, r role) bool { return l.free(i) && l.toks[i].role&r != 0 }

// use marks the tokens from i up to j as read.
func (l *line) use(i, j int) {
	for k := i; k < j; k++ {
		l.toks[k].used = true
	}
}

// follows gives the token after the words if they all stand, free, from i on.
func (l *line) follows(i int, words []string) (int, bool) {
	for k, w := range words {
		if !l.free(i+k) || l.toks[i+k].text != w {
			return i, false
		}
	}
	return i + len(words), true
}

// said gives the tokens from i up to j as they were typed, and where.
func (l *line) said(i, j int) (string, int) {
	return l.src[l.toks[i].at:l.toks[j-1].end], l.toks[i].at
}
