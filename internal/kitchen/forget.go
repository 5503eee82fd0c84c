package kitchen

import (
	"cmp"
	"crypto/hmac"
	"crypto/sha256"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
)

// Forgotten is who was forgotten. A person's place is taken by a token, here at
// once; in the log and in the records when those are written anew. Until then
// whoever reads them asks Line and Record, and the person is known by keyed
// hashes only.
type Forgotten struct {
	V      int      `cbor:"v"`
	Last   uint16   `cbor:"n"` // people forgotten so far: the number of the last token
	People []Erased `cbor:"p,omitempty"`
}

// Erased is one person whose name may still stand in what was written by At.
type Erased struct {
	Token string   `cbor:"t"`
	Salt  []byte   `cbor:"s"`
	Words [][]byte `cbor:"w"` // keyed hashes, of the id first, then of the names
	At    Moment   `cbor:"a"`
}

const (
	// AskForget: is the person Title, whom Who named, to be forgotten for good?
	AskForget Code = "forget"
	// ChooseForget forgets.
	ChooseForget ChoiceCode = "forget"
	// RefuseOwns: Who still owns Batches; they are handed over first.
	RefuseOwns Code = "owns"
	// RefuseListed: Who is named a manager where the service is set up.
	RefuseListed Code = "listed"

	// ForgottenEvent is the log's word for a forgetting; its detail is "token".
	ForgottenEvent = "forgotten"
	// erasedAtMost bounds who waits for the log to be written anew.
	erasedAtMost = 50
)

// hashed gives a keyed hash of a word.
func hashed(salt []byte, word string) []byte {
	mac := hmac.New(sha256.New, salt)
	mac.Write([]byte(word))
	return mac.Sum(nil)[:16]
}

// is says that a word names the person.
func (e Erased) is(word string) bool { return e.among(word, e.Words) }

// isID says that a word is the person's id.
func (e Erased) isID(word string) bool { return e.among(word, e.Words[:min(len(e.Words), 1)]) }

func (e Erased) among(word string, words [][]byte) bool {
	if word == "" {
		return false
	}
	sum := hashed(e.Salt, word)
	return slices.ContainsFunc(words, func(w []byte) bool { return hmac.Equal(w, sum) })
}

// Line gives a line of the log with a token in the place of whoever was forgotten
// since; changed says that there was one.
func (f Forgotten) Line(l Line) (out Line, changed bool) {
	for _, e := range f.People {
		if At(l.Entered) <= e.At {
			var did bool
			l, did = e.line(l)
			changed = changed || did
		}
	}
	return l, changed
}

func (e Erased) line(l Line) (Line, bool) {
	changed := e.isID(l.By.ID)
	if changed {
		l.By = Person{ID: e.Token, Name: e.Token}
		if direct(l.Message) || direct(l.Request) {
			l.Message, l.Request = "", ""
		}
	}
	var details map[string]string
	for key, value := range l.Details {
		if slices.Contains(things, key) || key == "name" && l.Event == EditEvent {
			continue
		}
		if with := masked(value, e.Token, e.is); with != value {
			if details == nil {
				details = maps.Clone(l.Details)
			}
			details[key] = with
		}
	}
	if details != nil {
		l.Details = details
	}
	return l, changed || details != nil
}

// direct says that a message or a request was in somebody's direct messages: the
// platform's name of those is as good as their own.
func direct(name string) bool { return strings.HasPrefix(name, "D") || strings.Contains(name, "/D") }

// things are the details of a line that never name a person, though a thing can
// be called like one.
var things = []string{"vessel", "title", "recipe", "part", "kind", "lot", "code", "token", "line"}

// Record gives the record of a batch with a token in the place of whoever was
// forgotten since; changed says that there was one.
func (f Forgotten) Record(body []byte) (out []byte, changed bool, err error) {
	if len(f.People) == 0 {
		return body, false, nil
	}
	if c, is := DecodeClosed(body); is {
		if !f.exchangeIn(&c, c.Signed.Entered) {
			return body, false, nil
		}
		return encode(closedRecord{V: version, Closed: c}), true, nil
	}
	b, err := DecodeBatch(body)
	if err != nil {
		return nil, false, err
	}
	if !f.exchangeIn(b, b.Started.Entered) {
		return body, false, nil
	}
	return EncodeBatch(b), true, nil
}

// exchangeIn puts tokens in the place of people in what was begun at a moment, and
// says whether there were any.
func (f Forgotten) exchangeIn(record any, begun Moment) bool {
	changed := false
	for _, e := range f.People {
		if begun <= e.At {
			changed = exchange(reflect.ValueOf(record), e.Token, e.isID) || changed
		}
	}
	return changed
}

// masked gives a text with a token in the place of each value that names a person:
// the whole of one of its lines, what follows a colon there, and that up to a comma.
func masked(text, token string, is func(string) bool) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		head, value, cut := strings.Cut(line, ": ")
		if !cut {
			head, value = "", line
		} else {
			head += ": "
		}
		plain := strings.Trim(value, "\"' ")
		who, _, comma := strings.Cut(plain, ", ")
		switch {
		case is(strings.TrimPrefix(plain, "@")):
			lines[i] = head + strings.Replace(value, plain, token, 1)
		case comma && is(who):
			lines[i] = head + strings.Replace(value, who, token, 1)
		}
	}
	return strings.Join(lines, "\n")
}

// forget replaces a person by a token everywhere in the kitchen, once it was asked
// whether that is meant. What happened stays, and so does when.
func (s *scene) forget() Answer {
	who, known := s.somebody(s.req.Person, s.cmd.By)
	if !known {
		return Answer{Kind: Refuse, Code: RefuseNobody, Verb: s.req.Verb, Title: s.req.Person, Private: true}
	}
	a := Answer{Kind: Refuse, Verb: s.req.Verb, Who: who, At: s.now, Private: true}
	for _, b := range s.Mine(who) {
		a.Batches, a.Vessel = append(a.Batches, b.ID), cmp.Or(a.Vessel, b.Vessel)
	}
	switch {
	case len(a.Batches) > 0:
		a.Code = RefuseOwns
		return a
	case s.Head.Team.Manages(who):
		a.Code = RefuseListed
		return a
	case s.tap.With != "sure":
		a.Kind, a.Code, a.Title = Ask, AskForget, nameOf(who)
		a.Choices = []Choice{{Code: ChooseForget, Tap: Tap{Line: s.req.String(), With: "sure"}}}
		return a
	}
	token := s.erase(who)
	if who.ID == s.cmd.By.ID {
		s.cmd.By = Person{ID: token, Name: token}
	}
	s.log(nil, ForgottenEvent, "token", token)
	if s.cmd.By.ID == token {
		s.cmd.By = Person{} // nobody is remembered for it
	}
	return Answer{Kind: Done, Verb: s.req.Verb, Title: token, Who: Person{ID: token, Name: token}, At: s.now, Private: true}
}

func nameOf(p Person) string { return cmp.Or(p.Name, p.ID) }

// erase puts a token in the place of a person and gives it.
func (s *scene) erase(p Person) string {
	f := &s.Forgotten
	f.V = version
	f.Last++
	token := fmt.Sprintf("%s-%04x", s.Head.Team.RoleOf(p), f.Last)
	e := Erased{Token: token, Salt: s.salt(), At: s.now}
	for _, word := range joined(nil, []string{p.ID, p.Name, plainName(p)}) {
		e.Words = append(e.Words, hashed(e.Salt, word))
	}
	list := append(slices.Clone(f.People), e)
	f.People = list[max(0, len(list)-erasedAtMost):]
	s.unperson(p, token)
	return token
}

// salt gives the key of a forgetting's hashes.
func (s *scene) salt() []byte {
	if len(s.cmd.Salt) > 0 {
		return s.cmd.Salt
	}
	return []byte(s.cmd.ID)
}

// unperson takes a person out of whom the kitchen may turn to, and puts a token in
// their place in what they did.
func (s *scene) unperson(p Person, token string) {
	h := &s.Head
	h.Shift = slices.DeleteFunc(slices.Clone(h.Shift), func(d Duty) bool { return d.ID == p.ID })
	h.Troubles = slices.DeleteFunc(slices.Clone(h.Troubles), func(t Trouble) bool { return t.Lane == "@"+p.ID })
	h.Asked = slices.DeleteFunc(slices.Clone(h.Asked), func(q Asked) bool { return q.By.ID == p.ID })
	s.dismiss(p)
	exchange(reflect.ValueOf(s.Kitchen), token, func(word string) bool { return word == p.ID })
	names := joined(nil, []string{p.ID, p.Name, plainName(p)})
	for key, e := range s.Edits {
		e.YAML = masked(e.YAML, token, func(word string) bool { return slices.Contains(names, word) })
		s.Edits[key] = e
	}
}

// cleansed notes that the log and the records are written anew: nothing need be
// known any more of those who hold these tokens.
func (s *scene) cleansed(tokens []string) Answer {
	list := slices.DeleteFunc(slices.Clone(s.Forgotten.People), func(e Erased) bool { return slices.Contains(tokens, e.Token) })
	if len(list) < len(s.Forgotten.People) {
		s.Forgotten.People = list
		s.log(nil, "log written anew", "tokens", strings.Join(tokens, " "))
	}
	return Answer{Kind: Done, At: s.now, Private: true, Quiet: true}
}
