package config

func (r *reader) push(p *[]Push) func(node) {
	return func(n node) {
		r.list(n, func(n node) {
			var one Push
			r.oneOf(n, keys{"influx": r.influx(&one.Influx), "mqtt": r.mqtt(&one.MQTT)})
			*p = append(*p, one)
		})
	}
}
