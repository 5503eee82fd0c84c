package request

import (
	"testing"

	"ventbell/internal/book"
)

// Lines that ask to forget somebody, and lines that do not. The readings are common
// practice, no source.
func TestWhoIsToBeForgottenIsRead(t *testing.T) {
	t.Parallel()
	r := NewReader(book.Sample())
	for _, w := range []struct{ line, in, want string }{
		{"forget @U00000003", "en", "forget @U00000003"},
		{"Forget <@U00000003>", "en", "forget @U00000003"},
		{"forget <@W012AB|floor>", "en", "forget @W012AB"},
		{"pls forget @bar-1", "en", "forget @bar-1"},
		{"forget about @bar-1 please", "en", "forget @bar-1"},
		{"forget me", "en", "forget me"},
		{"FORGET ME!", "en", "forget me"},
		{"please delete my data", "en", "forget me"},
		{"erase my name.", "en", "forget me"},
		{"delete me", "en", "forget me"},
		{"forget all about me", "en", "forget me"},
		{"olvida a @bar-1", "es", "forget @bar-1"},
		{"olvidar @U00000003", "es", "forget @U00000003"},
		{"Olvídame", "es", "forget me"},
		{"olvidame por favor", "es", "forget me"},
		{"borra mis datos", "es", "forget me"},
		{"bórrame", "es", "forget me"},
		{"olvídate de mí", "es", "forget me"},
		{"por favor, borra a @Bar-1", "es", "forget @Bar-1"},
		{"oublie @bar-1", "fr", "forget @bar-1"},
		{"oublie-moi", "fr", "forget me"},
		{"oubliez moi svp", "fr", "forget me"},
		{"efface mes données", "fr", "forget me"},
		{"effacer <@U00000003>", "fr", "forget @U00000003"},
		{"supprime-moi s’il te plaît", "fr", "forget me"},
	} {
		g := r.Read(w.line, Context{Now: afternoon})
		if g.Request == nil || g.Request.String() != w.want || g.Language != w.in {
			t.Errorf("%q reads in %s as %+v %+v, want %q", w.line, g.Language, g.Request, g.Problem, w.want)
			continue
		}
		again := r.Read(g.Request.String(), Context{Now: afternoon})
		if again.Request == nil || *again.Request != *g.Request {
			t.Errorf("%q is written %q, which reads as %+v", w.line, g.Request, again.Request)
		}
	}
	for _, line := range []string{
		"don't forget me", "forget A", "forget it", "forget the mint", "never forget @bar-1", "rhubarb gin 400ml, don't forget @bar-1", "olvida la menta", "j'ai oublié A",
	} {
		if g := r.Read(line, Context{Now: afternoon}); g.Request != nil && g.Request.Verb == Forget {
			t.Errorf("%q forgets somebody: %+v", line, g.Request)
		}
	}
}
