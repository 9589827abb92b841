module rimegate

go 1.26.0

require (
	codeberg.org/go-pdf/fpdf v0.12.0
	github.com/adrg/xdg v0.5.3
	github.com/creack/pty v1.1.24
	github.com/gdamore/tcell/v2 v2.13.10
	github.com/google/go-cmp v0.7.0
	github.com/nats-io/jwt/v2 v2.8.3
	github.com/nats-io/nats-server/v2 v2.15.3
	github.com/nats-io/nats.go v1.55.0
	github.com/nats-io/nkeys v0.4.17
	github.com/oklog/ulid/v2 v2.1.2
	github.com/pelletier/go-toml/v2 v2.4.3
	github.com/rivo/tview v0.42.0
	github.com/rivo/uniseg v0.4.7
	github.com/rogpeppe/go-internal v1.16.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	github.com/teambition/rrule-go v1.8.2
	github.com/urfave/cli/v2 v2.27.7
	go.etcd.io/bbolt v1.5.0
	golang.org/x/image v0.40.0
	golang.org/x/sys v0.50.0
	golang.org/x/term v0.47.0
	golang.org/x/text v0.43.0
	gonum.org/v1/gonum v0.17.0
	pgregory.net/rapid v1.3.0
)

require (
	github.com/antithesishq/antithesis-sdk-go v0.9.0-default-no-op // indirect
	github.com/cpuguy83/go-md2man/v2 v2.0.7 // indirect
	github.com/gdamore/encoding v1.0.1 // indirect
	github.com/google/go-tpm v0.9.8 // indirect
	github.com/klauspost/compress v1.20.4 // indirect
	github.com/lucasb-eyer/go-colorful v1.3.0 // indirect
	github.com/minio/highwayhash v1.0.4 // indirect
	github.com/nats-io/nuid v1.0.1 // indirect
	github.com/russross/blackfriday/v2 v2.1.0 // indirect
	github.com/xrash/smetrics v0.0.0-20240521201337-686a1a2994c1 // indirect
	golang.org/x/crypto v0.58.0 // indirect
	golang.org/x/time v0.16.0 // indirect
	golang.org/x/tools v0.51.0 // indirect
)
