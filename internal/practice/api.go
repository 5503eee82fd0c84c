package practice

import (
	"encoding/json"
	"errors"
	"io"
	"maps"
	"math"
	"mime"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// maxBody is the largest request body that the room reads, in bytes.
const maxBody = 1 << 20

// refusal is Slack's ok:false, with what it says besides.
type refusal struct {
	code     string
	messages []string
	needed   string
	after    time.Duration // when to come again, for ratelimited
}

func refuse(code string, messages ...string) *refusal {
	return &refusal{code: code, messages: messages}
}

// fields is a JSON object on its way out.
type fields map[string]any

// method is one method of the Web API. Names, scopes, tiers and whether a JSON
// body is read: github.com/slack-ruby/slack-api-ref, methods (a daily copy of
// Slack's reference).
type method struct {
	scopes    []string // any one of them
	appToken  bool     // takes the app-level token instead of the bot's
	json      bool     // reads a JSON body; else only a form or a query
	get       bool     // may be called with GET
	perMinute int      // 0 = no limit that matters here
	args      map[string]argument
	need      []string
	do        func(r *Room, args map[string]string) (fields, *refusal)
}

// argument is what an argument's value must look like.
type argument string

const (
	anyText  argument = "a string"
	truth    argument = "a boolean"
	number   argument = "a number"
	document argument = "JSON"
)

func (a argument) takes(v string) bool {
	switch a {
	case truth:
		return slices.Contains([]string{"true", "false", "1", "0"}, v)
	case number:
		_, err := strconv.Atoi(v)
		return err == nil
	case document:
		return json.Valid([]byte(v))
	}
	return true
}

// api serves the Web API's methods.
func (r *Room) api() http.Handler {
	table := methods()
	return http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		name := req.PathValue("method")
		m, known := table[name]
		if !known {
			r.answer(w, m, fields{"req_method": name}, refuse("unknown_method"))
			return
		}
		fault := r.fault(name)
		if fault != nil && !fault.before(r, w, req) {
			return
		}
		out, no := r.call(name, m, w, req)
		if fault != nil && fault.Kind == ResetAfter {
			reset(w)
			return
		}
		r.answer(w, m, out, no)
	})
}

// call carries out one call, from its token to its answer.
func (r *Room) call(name string, m method, w http.ResponseWriter, req *http.Request) (fields, *refusal) {
	args, no := readArguments(m, http.MaxBytesReader(w, req.Body, maxBody), req)
	if no != nil {
		return nil, no
	}
	if no := r.admits(m, token(args, req)); no != nil {
		return nil, no
	}
	delete(args, "token")
	delete(args, "team_id") // Slack's own Node kit sends it with every call
	if no := m.accepts(args); no != nil {
		return nil, no
	}
	if no := r.pacedMethod(name, m.perMinute); no != nil {
		return nil, no
	}
	return m.do(r, args)
}

// token gives the call's token, or tokens that contradict each other in a way
// that fits none. A JSON body carries none: Slack reads it from the header only.
func token(args map[string]string, req *http.Request) string {
	bearer, _ := strings.CutPrefix(req.Header.Get("Authorization"), "Bearer ")
	if inBody := args["token"]; bearer != "" && inBody != "" && inBody != bearer {
		return "two different tokens"
	}
	if bearer != "" || isJSON(req) {
		return bearer
	}
	return args["token"]
}

func (r *Room) admits(m method, token string) *refusal {
	r.mu.Lock()
	defer r.mu.Unlock()
	wanted, other := r.cfg.BotToken, r.cfg.AppToken
	if m.appToken {
		wanted, other = other, wanted
	}
	switch {
	case token == "":
		return refuse("not_authed")
	case token == other:
		return refuse("not_allowed_token_type")
	case token != wanted:
		return refuse("invalid_auth")
	case r.revoked:
		return refuse("token_revoked")
	case len(m.scopes) > 0 && !r.scoped(m.scopes...):
		return &refusal{code: "missing_scope", needed: strings.Join(m.scopes, ",")}
	}
	return nil
}

// accepts holds the arguments to those that the method has. Slack lets most
// unknown ones pass; the room does not, so that a misspelt one is seen.
func (m method) accepts(args map[string]string) *refusal {
	var faults []string
	for _, name := range m.need {
		if _, ok := args[name]; !ok {
			faults = append(faults, "missing required field: "+name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(args)) {
		kind, ok := m.args[name]
		switch {
		case !ok:
			faults = append(faults, "unexpected argument: "+name)
		case !kind.takes(args[name]):
			faults = append(faults, name+" must be "+string(kind))
		}
	}
	if faults != nil {
		return refuse("invalid_arguments", faults...)
	}
	return nil
}

var goodName = regexp.MustCompile(`^[A-Za-z0-9_]{1,64}$`)

func isJSON(req *http.Request) bool {
	kind, _, _ := mime.ParseMediaType(req.Header.Get("Content-Type"))
	return kind == "application/json"
}

// readArguments reads a call's arguments from where its method takes them.
func readArguments(m method, body io.Reader, req *http.Request) (map[string]string, *refusal) {
	switch {
	case req.Method == http.MethodGet && m.get:
		return flat(req.URL.Query())
	case req.Method != http.MethodPost:
		return nil, refuse("insecure_request", "call this method with POST")
	}
	raw, err := io.ReadAll(body)
	if err != nil {
		return nil, refuse("request_timeout", err.Error())
	}
	header := req.Header.Get("Content-Type")
	if header == "" && len(raw) > 0 {
		return nil, refuse("missing_post_type")
	}
	kind, params, err := mime.ParseMediaType(header)
	if header != "" && err != nil {
		return nil, refuse("invalid_post_type")
	}
	if cs := strings.ToLower(params["charset"]); cs != "" && cs != "utf-8" && cs != "iso-8859-1" {
		return nil, refuse("invalid_charset")
	}
	switch kind {
	case "", "application/x-www-form-urlencoded":
		form, err := url.ParseQuery(string(raw))
		if err != nil {
			return nil, refuse("invalid_form_data")
		}
		return flat(form)
	case "application/json":
		if !m.json {
			return map[string]string{}, nil // Slack doesn't look into it either
		}
		return fromJSON(raw)
	}
	return nil, refuse("invalid_post_type")
}

func flat(form url.Values) (map[string]string, *refusal) {
	args := map[string]string{}
	for name, values := range form {
		switch {
		case strings.ContainsAny(name, "[]") || len(values) > 1:
			return nil, refuse("invalid_array_arg")
		case !goodName.MatchString(name):
			return nil, refuse("invalid_arg_name")
		}
		args[name] = values[0]
	}
	return args, nil
}

// fromJSON gives strings as they are and all else as its JSON; null is absent.
func fromJSON(raw []byte) (map[string]string, *refusal) {
	var object map[string]json.RawMessage
	if len(raw) > 0 {
		var wrong *json.UnmarshalTypeError
		if err := json.Unmarshal(raw, &object); errors.As(err, &wrong) {
			return nil, refuse("json_not_object")
		} else if err != nil {
			return nil, refuse("invalid_json", err.Error())
		}
	}
	args := map[string]string{}
	for name, value := range object {
		var s string
		switch {
		case !goodName.MatchString(name):
			return nil, refuse("invalid_arg_name")
		case string(value) == "null":
		case json.Unmarshal(value, &s) == nil:
			args[name] = s
		default:
			args[name] = string(value)
		}
	}
	return args, nil
}

// answer writes a method's answer and counts refusals.
func (r *Room) answer(w http.ResponseWriter, m method, out fields, no *refusal) {
	r.mu.Lock()
	provided := strings.Join(r.cfg.Scopes, ",")
	r.mu.Unlock()
	h := w.Header()
	h.Set("Content-Type", "application/json; charset=utf-8")
	h.Set("X-OAuth-Scopes", provided)
	h.Set("X-Accepted-OAuth-Scopes", strings.Join(m.scopes, ","))
	if out == nil {
		out = fields{}
	}
	out["ok"] = no == nil
	if no != nil {
		r.refused(no.code)
		out["error"] = no.code
		if no.needed != "" {
			out["needed"], out["provided"] = no.needed, provided
		}
		if no.messages != nil {
			out["errors"] = no.messages
			marked := make([]string, len(no.messages))
			for i, m := range no.messages {
				marked[i] = "[ERROR] " + m
			}
			out["response_metadata"] = fields{"messages": marked}
		}
		if no.after > 0 {
			h.Set("Retry-After", strconv.Itoa(int(math.Ceil(no.after.Seconds()))))
			w.WriteHeader(http.StatusTooManyRequests)
		}
	}
	if err := json.NewEncoder(w).Encode(out); err != nil {
		r.cfg.Log.Debug("practice answer not written", "err", err)
	}
}

func (r *Room) refused(code string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.counts.Refused[code]++
}
