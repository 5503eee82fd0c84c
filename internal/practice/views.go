package practice

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
)

// maxForms is how many forms may lie on top of each other; views.push,
// push_limit_reached.
const maxForms = 3

// View is a form, or somebody's own page, as the service drew it.
type View struct {
	ID              string            `json:"-"`
	Hash            string            `json:"-"`    // another one after each change
	Type            string            `json:"type"` // modal or home
	Title           *Text             `json:"title"`
	Submit          *Text             `json:"submit"`
	Close           *Text             `json:"close"`
	Blocks          []Block           `json:"blocks"`
	PrivateMetadata string            `json:"private_metadata"`
	CallbackID      string            `json:"callback_id"`
	ExternalID      string            `json:"external_id"`
	ClearOnClose    bool              `json:"clear_on_close"`
	NotifyOnClose   bool              `json:"notify_on_close"`
	Values          map[string]string `json:"-"` // what stands in its fields, by block_id; of an option its value
	Errors          map[string]string `json:"-"` // what the service finds wrong, by block_id

	root, below string // the undermost form and the one under this
}

// face is what one person has open: their own page, and forms one on top of
// the other.
type face struct {
	home  *View
	forms []*View
	turns int // how often it changed
}

func (f *face) top() *View {
	if len(f.forms) == 0 {
		return nil
	}
	return f.forms[len(f.forms)-1]
}

// face gives what a person has open; r.mu is held.
func (r *Room) face(person string) *face {
	f := r.faces[person]
	if f == nil {
		f = &face{}
		r.faces[person] = f
	}
	return f
}

// turned tells all who watch that what somebody has open changed; r.mu is held.
func (r *Room) turned(f *face) {
	f.turns++
	r.wake()
}

// readView checks a view as it came in, and gives it with the ids that Slack
// adds; r.mu is held.
func (r *Room) readView(raw, kind string) (*View, *refusal) {
	if len(raw) > maxView {
		return nil, refuse("view_too_large")
	}
	var loose any
	if err := json.Unmarshal([]byte(raw), &loose); err != nil {
		return nil, refuse("invalid_arguments", "view is not JSON: "+err.Error())
	}
	c := &check{}
	checkView(c, "/view", loose, kind)
	if len(c.faults) > 0 {
		return nil, refuse("invalid_arguments", c.faults...)
	}
	v := &View{}
	if err := json.Unmarshal([]byte(raw), v); err != nil {
		return nil, refuse("invalid_arguments", err.Error())
	}
	nameBlocks(v.Blocks, r.next)
	v.ID, v.Hash = r.next("V"), r.freshHash()
	v.root = v.ID
	v.Values = map[string]string{}
	for _, b := range v.Blocks {
		if b.Element != nil {
			v.Values[b.BlockID] = b.Element.first()
		}
	}
	return v, nil
}

func (r *Room) freshHash() string {
	r.serial++
	return fmt.Sprintf("%d.%08x", r.cfg.Clock.Now().Unix(), r.serial)
}

// become puts next in the place of v. What stands in a field that is still
// there stays, as Slack keeps it.
func (v *View) become(next *View) {
	for _, b := range next.Blocks {
		if old := v.field(b.BlockID); old != nil && b.Element != nil && old.Element.ActionID == b.Element.ActionID && old.Element.Type == b.Element.Type {
			next.Values[b.BlockID] = v.Values[b.BlockID]
		}
	}
	next.ID, next.root, next.below = v.ID, v.root, v.below
	*v = *next
}

// field gives the input block with that block_id, nil when there is none.
func (v *View) field(blockID string) *Block {
	for i := range v.Blocks {
		if b := &v.Blocks[i]; b.Element != nil && b.BlockID == blockID {
			return b
		}
	}
	return nil
}

// free refuses an external_id that another view has; r.mu is held.
func (r *Room) free(id string, besides *View) *refusal {
	for _, f := range r.faces {
		for _, v := range append(slices.Clone(f.forms), f.home) {
			if v != nil && v != besides && id != "" && v.ExternalID == id {
				return refuse("duplicate_external_id")
			}
		}
	}
	return nil
}

// form finds an open form and whose it is by its id or its external id; r.mu
// is held.
func (r *Room) form(id, external string) (*face, *View) {
	for _, f := range r.faces {
		for _, v := range f.forms {
			if id != "" && v.ID == id || id == "" && external != "" && v.ExternalID == external {
				return f, v
			}
		}
	}
	return nil, nil
}

func openView(r *Room, args map[string]string) (fields, *refusal) {
	return r.unfold(args, func(t *trigger, f *face, v *View) *refusal {
		f.forms = []*View{v}
		return nil
	})
}

func pushView(r *Room, args map[string]string) (fields, *refusal) {
	return r.unfold(args, func(t *trigger, f *face, v *View) *refusal {
		switch {
		case !t.inForm || f.top() == nil:
			return refuse("not_found", "there is no form to put another on")
		case len(f.forms) == maxForms:
			return refuse("push_limit_reached")
		}
		f.push(v)
		return nil
	})
}

func (f *face) push(v *View) {
	v.root, v.below = f.forms[0].ID, f.top().ID
	f.forms = append(f.forms, v)
}

// unfold uses a trigger to show a form.
func (r *Room) unfold(args map[string]string, show func(*trigger, *face, *View) *refusal) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	v, no := r.readView(args["view"], "modal")
	if no != nil {
		return nil, no
	}
	t, no := r.usable(args["trigger_id"])
	if no != nil {
		return nil, no
	}
	if no := r.free(v.ExternalID, nil); no != nil {
		return nil, no
	}
	f := r.face(t.person)
	if no := show(t, f, v); no != nil {
		return nil, no
	}
	t.used = true
	r.counts.Views++
	r.turned(f)
	return fields{"view": r.viewWire(v)}, nil
}

func updateView(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if args["view_id"] == "" && args["external_id"] == "" {
		return nil, refuse("invalid_arguments", "missing required field: view_id or external_id")
	}
	next, no := r.readView(args["view"], "modal")
	if no != nil {
		return nil, no
	}
	f, v := r.form(args["view_id"], args["external_id"])
	if v == nil {
		return nil, refuse("not_found")
	}
	if hash, ok := args["hash"]; ok && hash != "" && hash != v.Hash {
		return nil, refuse("hash_conflict")
	}
	if no := r.free(next.ExternalID, v); no != nil {
		return nil, no
	}
	v.become(next)
	r.counts.Views++
	r.turned(f)
	return fields{"view": r.viewWire(v)}, nil
}

// publishView shows somebody their own page.
func publishView(r *Room, args map[string]string) (fields, *refusal) {
	r.mu.Lock()
	defer r.mu.Unlock()
	person := args["user_id"]
	if r.name(person) == "" || person == botUser {
		return nil, refuse("invalid_arguments", "invalid `user_id`")
	}
	next, no := r.readView(args["view"], "home")
	if no != nil {
		return nil, no
	}
	f := r.face(person)
	if hash := args["hash"]; hash != "" && (f.home == nil || hash != f.home.Hash) {
		return nil, refuse("hash_conflict")
	}
	if no := r.free(next.ExternalID, f.home); no != nil {
		return nil, no
	}
	if f.home == nil {
		f.home = next
	} else {
		f.home.become(next)
	}
	r.counts.Views++
	r.turned(f)
	return fields{"view": r.viewWire(f.home)}, nil
}

// viewWire gives a view as Slack writes it; r.mu is held.
func (r *Room) viewWire(v *View) fields {
	values := fields{}
	for _, b := range v.Blocks {
		if b.Element != nil {
			values[b.BlockID] = fields{b.Element.ActionID: b.Element.state(v.Values[b.BlockID])}
		}
	}
	out := fields{
		"id": v.ID, "team_id": teamID, "type": v.Type, "blocks": append([]Block{}, v.Blocks...),
		"private_metadata": v.PrivateMetadata, "callback_id": v.CallbackID, "external_id": v.ExternalID,
		"state": fields{"values": values}, "hash": v.Hash, "submit": v.Submit, "close": v.Close,
		"clear_on_close": v.ClearOnClose, "notify_on_close": v.NotifyOnClose,
		"root_view_id": v.root, "previous_view_id": nil,
		"app_id": appID, "bot_id": botID, "app_installed_team_id": teamID,
	}
	if v.Title != nil {
		out["title"] = v.Title
	}
	if v.below != "" {
		out["previous_view_id"] = v.below
	}
	return out
}

// shown gives a view for others to keep, nothing of it shared.
func (v *View) shown() View {
	out := *v
	out.Blocks = slices.Clone(v.Blocks)
	out.Values, out.Errors = maps.Clone(v.Values), maps.Clone(v.Errors)
	return out
}
