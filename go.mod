module ventbell

go 1.26.8

require (
	github.com/alicebob/miniredis/v2 v2.40.0 // indirect
	github.com/caarlos0/env/v11 v11.4.2 // indirect
	github.com/cespare/xxhash/v2 v2.3.0 // indirect
	github.com/fxamacker/cbor/v2 v2.10.0 // indirect
	github.com/goccy/go-yaml v1.19.2 // indirect
	github.com/google/go-cmp v0.7.0 // indirect
	github.com/gorilla/websocket v1.5.3 // indirect
	github.com/hbollon/go-edlib v1.7.0 // indirect
	github.com/prometheus/client_golang v1.25.0 // indirect
	github.com/redis/go-redis/v9 v9.23.0 // indirect
	github.com/slack-go/slack v0.35.0 // indirect
	github.com/x448/float16 v0.8.4 // indirect
	github.com/yuin/gopher-lua v1.1.1 // indirect
	go.etcd.io/bbolt v1.5.0 // indirect
	go.uber.org/atomic v1.12.0 // indirect
	golang.org/x/sync v0.25.0 // indirect
	golang.org/x/sys v0.48.0 // indirect
	golang.org/x/time v0.16.0 // indirect
	pgregory.net/rapid v1.3.0 // indirect
)
