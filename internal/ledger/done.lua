-- done records what became of a lane's entries and gives the lane back.
--
-- KEYS: lanes, leases, outbox, sent.
-- ARGV: microseconds the ledger is ahead of its clock, token, kitchen's id,
-- lane, moment at which the lane is available again or '', number of messages
-- sent, number of entries gone; for each sent its key and its item, for each
-- gone its key and its Seq.

local lanes, leases, outbox, sent = unpack(KEYS)
local ahead, token, id, lane, again, sents, gones = unpack(ARGV, 1, 7)
local bad = wrong({{lanes, 'zset'}, {leases, 'hash'}, {outbox, 'hash'}, {sent, 'hash'}})
if bad then return bad end

local records, ended = {}, {}
local at_arg = 7
for i = 1, tonumber(sents) + tonumber(gones) do
  local key, what = ARGV[at_arg + 1], ARGV[at_arg + 2]
  at_arg = at_arg + 2
  local seq = what
  if i <= tonumber(sents) then
    local _, seq1 = head(what)
    seq = seq1
    local old = redis.call('HGET', sent, key)
    if newer(old) then return {'newer'} end
    local _, seq0 = head(old or '')
    if not seq0 or seq0 <= seq then records[#records + 1] = {key, what} end
  end
  ended[#ended + 1] = {key, seq}
end

-- What was posted is recorded even when the lease was lost: it must not be
-- posted again. Of an entry queued anew in the meantime nothing is taken away.
for _, r in ipairs(records) do redis.call('HSET', sent, r[1], r[2]) end
for _, e in ipairs(ended) do
  local item = redis.call('HGET', outbox, e[1])
  local _, seq = head(item or '')
  if seq == e[2] then redis.call('HDEL', outbox, e[1]) end
end

-- The lane itself belongs to whoever holds its lease.
local m = member(id, lane)
local now = clock()
if redis.call('HGET', leases, m) == token then
  redis.call('HDEL', leases, m)
  local at = math.max(tonumber(again) or 0, now + tonumber(ahead))
  local items = waiting(outbox, lane)
  if items and #items == 0 and at <= now + tonumber(ahead) then
    redis.call('ZREM', lanes, m)
  else
    redis.call('ZADD', lanes, whole(at), m)
  end
end
return {'ok', whole(now)}
