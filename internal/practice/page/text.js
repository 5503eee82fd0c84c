'use strict';
// Draws text in Slack's markup. Whatever somebody wrote gets onto the page as
// the text of a node, never as HTML.

const Markup = (() => {
  const unescape = s => s.replace(/&lt;/g, '<').replace(/&gt;/g, '>').replace(/&amp;/g, '&');

  function node(tag, className, text) {
    const n = document.createElement(tag);
    if (className) n.className = className;
    if (text !== undefined) n.textContent = text;
    return n;
  }

  // moment draws <!date^seconds^format|fallback> in the kitchen's zone.
  function moment(seconds, format, fallback, zone) {
    const at = new Date(seconds * 1000);
    const as = options => new Intl.DateTimeFormat('en-GB', {timeZone: zone, ...options}).format(at);
    const parts = {
      date_num: () => as({year: 'numeric', month: '2-digit', day: '2-digit'}).split('/').reverse().join('-'),
      date: () => as({day: 'numeric', month: 'long', year: 'numeric'}),
      date_short: () => as({day: 'numeric', month: 'short', year: 'numeric'}),
      date_long: () => as({weekday: 'long', day: 'numeric', month: 'long', year: 'numeric'}),
      time: () => as({hour: '2-digit', minute: '2-digit'}),
      time_secs: () => as({hour: '2-digit', minute: '2-digit', second: '2-digit'}),
    };
    let known = true;
    const text = format.replace(/\{(\w+?)(_pretty)?\}/g, (all, name) => {
      if (!parts[name]) known = false;
      return parts[name] ? parts[name]() : all;
    });
    const n = node('time', '', known && isFinite(seconds) ? text : unescape(fallback));
    if (isFinite(seconds)) n.dateTime = at.toISOString();
    return n;
  }

  // angled draws what stands in <...>.
  function angled(inner, room) {
    const bar = inner.indexOf('|');
    const what = bar < 0 ? inner : inner.slice(0, bar);
    const label = bar < 0 ? '' : inner.slice(bar + 1);
    if (what[0] === '@') {
      const id = what.slice(1);
      return node('span', id === room.me ? 'mention mine' : 'mention', '@' + room.name(id));
    }
    if (what[0] === '#') return node('span', 'mention', '#' + (label || room.name(what.slice(1))));
    if (what.startsWith('!date^')) {
      const [, seconds, format] = what.split('^');
      return moment(Number(seconds), format || '', label, room.zone);
    }
    if (what[0] === '!') return node('span', 'mention', label || '@' + what.slice(1));
    return document.createTextNode(unescape(label || what));
  }

  const pieces = /```([\s\S]+?)```|`([^`\n]+)`|<([^<>]+)>|(^|[^\w*])\*([^\s*](?:[^*\n]*[^\s*])?)\*(?![\w*])|(^|[^\w_])_([^\s_](?:[^_\n]*[^\s_])?)_(?![\w_])|(^|[^\w~])~([^\s~](?:[^~\n]*[^\s~])?)~(?![\w~])/g;

  // draw puts text in Slack's markup into parent.
  function draw(parent, text, room) {
    let from = 0;
    const plain = s => { if (s) parent.append(document.createTextNode(unescape(s))); };
    const wrapped = (tag, before, inner) => {
      plain(before);
      const n = node(tag);
      draw(n, inner, room);
      parent.append(n);
    };
    for (const m of text.matchAll(pieces)) {
      plain(text.slice(from, m.index));
      from = m.index + m[0].length;
      if (m[1] !== undefined) parent.append(node('pre', '', unescape(m[1])));
      else if (m[2] !== undefined) parent.append(node('code', '', unescape(m[2])));
      else if (m[3] !== undefined) parent.append(angled(m[3], room));
      else if (m[5] !== undefined) wrapped('strong', m[4], m[5]);
      else if (m[7] !== undefined) wrapped('em', m[6], m[7]);
      else wrapped('s', m[8], m[9]);
    }
    plain(text.slice(from));
  }

  // paragraphs draws each line of a text object on a line of its own.
  function paragraphs(parent, object, room, className) {
    for (const line of object.text.split('\n')) {
      const p = node('p', className);
      if (object.type === 'plain_text') p.textContent = unescape(line);
      else draw(p, line, room);
      parent.append(p);
    }
  }

  return {node, unescape, draw, paragraphs};
})();
