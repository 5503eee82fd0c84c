package kitchen

import (
	"reflect"
	"slices"
	"strings"

	"ventbell/internal/request"
)

// RefuseNobody: nobody here is called Title.
const RefuseNobody Code = "nobody"

// somebody finds whom a line names: its speaker, whoever stands anywhere in the kitchen
// by that id or name, else whoever has what looks like the platform's id. Of two
// people with one name nobody is picked.
func (k *Kitchen) somebody(ref string, speaker Person) (Person, bool) {
	if ref == request.Speaker || ref == speaker.ID {
		return speaker, speaker.ID != ""
	}
	var found []Person
	gather(reflect.ValueOf(k), func(p Person) {
		same := p.ID == ref || strings.EqualFold(p.Name, ref)
		if same && !slices.ContainsFunc(found, func(q Person) bool { return q.ID == p.ID }) {
			found = append(found, p)
		}
	})
	switch len(found) {
	case 0:
		return Person{ID: ref, Name: ref}, looksLikeID(ref)
	case 1:
		return found[0], true
	}
	return Person{}, false
}

// looksLikeID says that a name can be an id of the platform's: capitals and
// digits, as Slack's are.
func looksLikeID(ref string) bool {
	return len(ref) > 1 && strings.ContainsAny(ref[:1], "UW") && strings.Trim(ref, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") == ""
}
