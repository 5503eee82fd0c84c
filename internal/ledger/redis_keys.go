package ledger

import (
	"hash/crc32"
	"strconv"
)

// metaKey holds the layout, and belongs to no partition.
const metaKey = "vb:meta"

// part names the keys of one partition. The number in braces is the hash tag
// that keeps them on one node of a Cluster, whatever the rest of a key holds.
type part int

// partOf gives the partition of a kitchen: the CRC-32 (IEEE) of its id, modulo
// the number of partitions.
func (r *Redis) partOf(id string) part {
	return part(crc32.ChecksumIEEE([]byte(id)) % uint32(r.partitions))
}

func (p part) key(rest string) string { return "vb:{" + strconv.Itoa(int(p)) + "}:" + rest }

// due is a sorted set of kitchens by the microsecond of their next moment.
func (p part) due() string { return p.key("due") }

// lanes is a sorted set of lanes by the microsecond from which each may be
// taken: since when it waits, or until when it is leased or paced.
func (p part) lanes() string { return p.key("lanes") }

// leases is a hash of lanes and the tokens of their leases, until they are
// given back.
func (p part) leases() string { return p.key("leases") }

// log is a stream of one day's lines.
func (p part) log(day string) string { return p.key("log:" + day) }

// channel is where commits are made known.
func (p part) channel() string { return p.key("wake") }

// kitchen is a hash: v, rev and the fields, each with an f before its name.
func (p part) kitchen(id string) string { return p.key("k:" + id) }

// answer is a string that expires.
func (p part) answer(id, request string) string { return p.key("a:" + member(id, request)) }

// outboxes is what the key of a kitchen's outbox begins with.
func (p part) outboxes() string { return p.key("o:") }

// outbox is a hash of items by their entry's key.
func (p part) outbox(id string) string { return p.outboxes() + id }

// sent is a hash of items by their entry's key.
func (p part) sent(id string) string { return p.key("s:" + id) }

// record is a string: one batch that left the kitchen.
func (p part) record(id string, batch uint32) string {
	return p.key("r:" + member(id, strconv.FormatUint(uint64(batch), 10)))
}

// day is a set of the batches that left the kitchen for one business day.
func (p part) day(id, day string) string { return p.key("d:" + member(id, day)) }
