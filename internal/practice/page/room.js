'use strict';
// The practice page: shows what stands in the room and sends what is typed and
// tapped. Everything it knows came with the page; the feed brings what changes.

const {node, paragraphs} = Markup;
const sight = JSON.parse(document.getElementById('sight').textContent);
const $ = id => document.getElementById(id);
const names = new Map([...sight.people, ...sight.channels].map(x => [x.id, x.name]));
const room = {
  me: sight.me,
  zone: sight.zone === 'Local' ? undefined : sight.zone,
  name: id => names.get(id) || id,
};
const messages = new Map(); // by ts
const unread = new Map(); // by channel
const wanted = new URLSearchParams(location.hash.slice(1)).get('in');
let here = wanted === 'home' ? wanted : (sight.channels.find(c => c.id === wanted) || sight.channels[0] || {id: ''}).id;
let answering = '';

// --- what stands

function mentionsMe(m) {
  return m.who !== room.me && JSON.stringify([m.text, m.blocks || []]).includes('<@' + room.me);
}

function ticket(m) {
  const bot = m.who === sight.bot;
  const box = node('article', 'slip ' + (bot ? 'ticket' : 'tape'));
  box.dataset.ts = m.ts;
  if (m.who === room.me) box.classList.add('own');
  if (m.private) box.classList.add('private');
  if (mentionsMe(m)) box.classList.add('forme');

  const paper = node('div', 'paper');
  paper.append(head(m));
  const body = node('div', 'body');
  if (m.blocks && m.blocks.length) Blocks.draw(body, m.blocks, room, (block, b) => send('/page/tap', {ts: m.ts, block, action: b.action_id}));
  else paragraphs(body, {type: 'mrkdwn', text: m.text}, room);
  const first = body.querySelector('h2, p');
  if (bot && first) first.classList.add('lead');
  paper.append(body);
  box.append(paper);
  box.append(thread());
  return box;
}

// thread is where the answers to a message lie, folded up.
function thread() {
  const fold = node('details', 'thread');
  fold.hidden = true;
  fold.append(node('summary'), node('div', 'replies'));
  fold.addEventListener('toggle', () => { if (fold.open) count(fold, 0); });
  return fold;
}

// count says on the fold how many answers lie there, and how many of them
// nobody has looked at.
function count(fold, fresh) {
  const replies = fold.lastElementChild.children;
  fold.hidden = !replies.length;
  if (!replies.length) return;
  fold.dataset.fresh = fresh;
  const last = messages.get(replies[replies.length - 1].dataset.ts);
  const label = [replies.length === 1 ? '1 answer' : replies.length + ' answers', 'last ' + last.at];
  if (fresh) label.push(fresh + ' new');
  fold.firstElementChild.textContent = label.join(', ');
}

function head(m) {
  const top = node('div', 'head');
  top.append(node('b', 'name', m.who === room.me ? room.name(m.who) + ' (you)' : room.name(m.who)));
  top.append(node('span', 'at', m.at));
  if (m.edits) top.append(node('span', 'edited', 'changed ' + m.edited));
  if (mentionsMe(m)) top.append(node('span', 'stamp', 'For you'));
  if (m.private) top.append(node('span', 'stamp only', 'Only you see this'));
  const parent = m.aloud && messages.get(m.thread);
  if (parent) top.append(node('span', 'edited', 'answers ' + room.name(parent.who) + ', ' + parent.at));
  if (m.who === sight.bot && !m.private) {
    const b = node('button', 'answer', 'Answer');
    b.type = 'button';
    b.setAttribute('aria-label', 'Answer ' + room.name(m.who) + ', ' + m.at);
    b.addEventListener('click', () => answer(m.thread || m.ts));
    top.append(b);
  }
  if (m.who !== sight.bot) top.append(...Views.onMessage(sight.onMessage, m));
  return top;
}

// hang puts a message where it belongs: into the log or under its parent, in
// place of what hung there before.
function hang(m) {
  const before = messages.get(m.ts);
  messages.set(m.ts, m);
  if (m.channel !== here) return null;
  const old = $('log').querySelector(`[data-ts="${m.ts}"]`);
  if (m.gone) {
    messages.delete(m.ts);
    if (old) gone(old);
    return null;
  }
  const fresh = ticket(m);
  if (old) {
    fresh.querySelector('.thread').replaceWith(old.querySelector('.thread'));
    old.replaceWith(fresh);
    if (before) fresh.classList.add('moved');
    return fresh;
  }
  const fold = m.thread && !m.aloud && $('log').querySelector(`[data-ts="${m.thread}"] > .thread`);
  if (!fold) {
    $('log').append(fresh);
    return fresh;
  }
  fold.lastElementChild.append(fresh);
  if (!before && (m.private || m.who === room.me || mentionsMe(m))) fold.open = true;
  count(fold, before || fold.open ? 0 : Number(fold.dataset.fresh || 0) + 1);
  return fresh;
}

// gone takes a message away. Answers to it stay, each on its own.
function gone(old) {
  const fold = old.parentElement.closest('.thread');
  old.after(...old.querySelector('.replies').children);
  old.remove();
  if (fold) count(fold, Number(fold.dataset.fresh || 0));
}

function redraw() {
  $('log').replaceChildren();
  const list = [...messages.values()].filter(m => m.channel === here);
  if (!list.length) {
    const bare = node('p', 'bare');
    Markup.draw(bare, 'Nothing on the rail yet.\nType `' + sight.command + ' help`, or write to *@' + room.name(sight.bot) + '*.', room);
    $('log').append(bare);
  }
  list.forEach(hang);
  places();
  toEnd();
}

// --- where and who

const home = 'home'; // where one's own page is, among the channels' ids

function places() {
  const list = sight.channels.map(c => ({id: c.id, label: c.direct ? 'Direct' : '#' + c.name}));
  list.push({id: home, label: 'My page'});
  $('places').replaceChildren(...list.map(c => {
    const b = node('button', '', c.label);
    b.type = 'button';
    const n = unread.get(c.id) || 0;
    if (n) b.append(node('span', 'count', n + ' new'));
    if (c.id === here) b.setAttribute('aria-current', 'page');
    b.addEventListener('click', () => go(c.id));
    return b;
  }));
}

function go(id) {
  here = id;
  unread.delete(id);
  history.replaceState(null, '', '#in=' + id);
  answer('');
  redraw();
  lay();
}

// lay shows the log and the line to type in, or one's own page.
function lay() {
  const own = here === home;
  $('log').hidden = $('say').hidden = own;
  $('home').hidden = !own;
  if (own) send('/page/home', {});
  else toEnd();
}

function people() {
  for (const p of sight.people) {
    if (p.id === sight.bot) continue;
    const o = node('option', '', p.name);
    o.value = p.id;
    o.selected = p.id === room.me;
    $('who').append(o);
  }
  $('who').addEventListener('change', () => { location.href = '/?as=' + $('who').value; });
}

function answer(ts) {
  answering = ts;
  $('answering').hidden = !ts;
  const m = messages.get(ts);
  if (m) {
    $('answering').firstElementChild.textContent = 'Answering ' + room.name(m.who) + ', ' + m.at;
    $('line').focus();
  }
}

// --- the end of the log

const log = $('log');
const atEnd = () => log.scrollHeight - log.scrollTop - log.clientHeight < 120;
function toEnd() {
  log.scrollTop = log.scrollHeight;
  $('below').hidden = true;
}
log.addEventListener('scroll', () => { if (atEnd()) $('below').hidden = true; });
$('below').addEventListener('click', toEnd);

// --- what is typed and tapped

// send gives what went wrong, empty when all went well.
async function send(path, what) {
  try {
    const resp = await fetch(path, {
      method: 'POST',
      headers: {'Content-Type': 'application/json'},
      body: JSON.stringify({as: room.me, channel: here, ...what}),
    });
    const out = await resp.json();
    return trouble(out.error);
  } catch {
    return trouble('the practice room is not reachable');
  }
}

// trouble shows what went wrong, and gives it; nothing went wrong: nothing.
function trouble(text) {
  const line = text ? text[0].toUpperCase() + text.slice(1) + '.' : '';
  $('trouble').hidden = !line;
  $('trouble').textContent = line;
  return line;
}

$('say').addEventListener('submit', async e => {
  e.preventDefault();
  const text = $('line').value.trim();
  if (!text) return;
  $('line').value = '';
  const wrong = await send('/page/say', {text, thread: answering});
  if (wrong && !$('line').value) $('line').value = text;
  toEnd();
});
$('answering').querySelector('button').addEventListener('click', () => answer(''));

// --- what changes

function listen() {
  const feed = new EventSource('/page/feed?as=' + room.me + '&seen=' + sight.seen);
  feed.addEventListener('message', e => {
    const m = JSON.parse(e.data);
    const stay = atEnd();
    const bare = log.querySelector('.bare');
    if (bare && m.channel === here) bare.remove();
    const fresh = !messages.has(m.ts);
    const slip = hang(m);
    if (m.channel !== here && fresh && !m.gone && m.who !== room.me) {
      unread.set(m.channel, (unread.get(m.channel) || 0) + 1);
      places();
    }
    if (!slip) return;
    if (fresh) slip.classList.add('fresh');
    if (stay) toEnd();
    else if (fresh) $('below').hidden = false;
  });
  feed.addEventListener('views', e => Views.show(JSON.parse(e.data)));
  feed.addEventListener('clock', e => { $('clock').textContent = JSON.parse(e.data); });
  feed.addEventListener('open', () => document.body.classList.remove('cut'));
  feed.addEventListener('error', () => {
    document.body.classList.add('cut');
    // A room that was started anew knows nothing of what we have seen.
    if (feed.readyState === EventSource.CLOSED) setTimeout(() => location.reload(), 2000);
  });
}

sight.messages.forEach(m => messages.set(m.ts, m));
$('clock').textContent = sight.clock;
$('line').placeholder = sight.command + ' help';
people();
Views.start(room, send, sight);
redraw();
if (here === home) lay();
listen();
