-- commit writes one change of one kitchen, all of it or nothing.
--
-- KEYS: kitchen, answer, due, lanes, outbox, sent, log, then for each record
-- its own key and its day's.
-- ARGV: kitchen's id, revision expected, revision to come, request, answer,
-- seconds to keep it, due moment or '', microseconds the ledger is ahead of its
-- clock, sender, channel, seconds to keep the log and the records; the lengths of the seven
-- lists; the lists.

local kitchen, answer, due, lanes, outbox, sent, log = unpack(KEYS, 1, 7)
local id, rev, rev2, request, reply, keep, at, ahead, sender, channel, keeplog = unpack(ARGV, 1, 11)
local LISTS = 18 -- the last argument before the lists
local sets, dels, drops, outs, lines, records, forgets = unpack(ARGV, 12, LISTS)
sets, dels, drops, outs = tonumber(sets), tonumber(dels), tonumber(drops), tonumber(outs)
lines, records, forgets = tonumber(lines), tonumber(records), tonumber(forgets)

-- Was it done before, or overtaken?
if request ~= '' then
  local known = redis.call('GET', answer)
  if known then return {'known', known} end
end
local was = redis.call('HMGET', kitchen, 'v', 'rev')
if was[1] and tonumber(was[1]) > VERSION then return {'newer'} end
if (was[2] or '') ~= rev then return {'stale'} end

-- Is it small enough?
local total = #reply
local biggest = #reply
for i = LISTS + 1, #ARGV do
  local n = #ARGV[i]
  total = total + n
  if n > biggest then biggest = n end
end
if sets + dels + drops + outs + lines + records + forgets > MAX_VALUES
  or biggest > MAX_VALUE or total > MAX_TOTAL then
  return {'big'}
end

-- A script that fails halfway keeps what it has written. So every key that will
-- be written is read first: one that holds another type fails here, where
-- nothing is lost.
local arg = LISTS
local function take()
  arg = arg + 1
  return ARGV[arg]
end
local fields = {'v', whole(VERSION), 'rev', rev2}
for _ = 1, sets do
  fields[#fields + 1] = 'f' .. take()
  fields[#fields + 1] = take()
end
local gone = {}
for i = 1, dels do gone[i] = 'f' .. take() end
local dropped = {}
for i = 1, drops do
  dropped[i] = take()
  if newer(redis.call('HGET', outbox, dropped[i])) then return {'newer'} end
end
local queued, opened = {}, {} -- key and item by turns; lanes that are not there yet
for _ = 1, outs do
  local key, lane = take(), member(id, take())
  if newer(redis.call('HGET', outbox, key)) then return {'newer'} end
  if not redis.call('ZSCORE', lanes, lane) then opened[#opened + 1] = lane end
  queued[#queued + 1] = key
  queued[#queued + 1] = take()
end
local fresh = lines > 0 and redis.call('XLEN', log) == 0
local first = arg -- the last argument before the lines
arg = arg + lines
for i = 1, records do
  redis.call('STRLEN', KEYS[6 + 2 * i])
  redis.call('SCARD', KEYS[7 + 2 * i])
end
local bodies = arg
arg = arg + 2 * records
local forgotten = {}
if forgets > 0 then
  local prefix = {}
  for _ = 1, forgets do prefix[take()] = true end
  for _, key in ipairs(redis.call('HKEYS', sent)) do
    if prefix[string.match(key, '^%d+/')] then forgotten[#forgotten + 1] = key end
  end
end
local before = redis.call('ZSCORE', due, id)

-- A due entry that comes earlier is written before everything else, one that
-- moves back or goes is written after everything else: whatever happens in
-- between, the bell looks too early rather than too late.
local sooner = at ~= '' and (not before or tonumber(at) < tonumber(before))
if sooner then redis.call('ZADD', due, at, id) end

redis.call('HSET', kitchen, unpack(fields))
if dels > 0 then redis.call('HDEL', kitchen, unpack(gone)) end
if drops > 0 then redis.call('HDEL', outbox, unpack(dropped)) end
if outs > 0 then redis.call('HSET', outbox, unpack(queued)) end
if #opened > 0 then
  local now = whole(clock() + tonumber(ahead))
  for _, lane in ipairs(opened) do redis.call('ZADD', lanes, now, lane) end
end
for i = first + 1, first + lines do redis.call('XADD', log, '*', 'l', ARGV[i]) end
if fresh then redis.call('EXPIRE', log, keeplog) end
for i = 1, records do
  redis.call('SET', KEYS[6 + 2 * i], ARGV[bodies + 2 * i - 1], 'EX', keeplog)
  redis.call('SADD', KEYS[7 + 2 * i], ARGV[bodies + 2 * i])
  redis.call('EXPIRE', KEYS[7 + 2 * i], keeplog)
end
for _, key in ipairs(forgotten) do redis.call('HDEL', sent, key) end
if request ~= '' then redis.call('SET', answer, reply, 'EX', keep) end
if before and not sooner then
  if at == '' then
    redis.call('ZREM', due, id)
  elseif at ~= before then
    redis.call('ZADD', due, at, id)
  end
end

-- Others wait for the head of the index and for new entries. A message that
-- can't be published costs them time only.
local head = sooner and redis.call('ZRANK', due, id) == 0
if head or outs > 0 then
  redis.pcall('PUBLISH', channel, sender .. (head and ' due' or '') .. (outs > 0 and ' out' or ''))
end
return {'ok', head and '1' or ''}
