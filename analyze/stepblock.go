package analyze

// StepBlock takes samples in a row, as of a file, where nobody waits for what each
// of them brings about: the same as Step with each, but that nothing is told of it,
// and so a charge that is over is put into words once, when it is closed.
func (m *Machine) StepBlock(samples []Sample) {
	m.unheard = true
	for len(samples) > 0 {
		n := m.evenly(samples)
		if samples = samples[n:]; len(samples) > 0 {
			m.take(&samples[0])
			samples = samples[1:]
		}
	}
	m.catchUp()
	m.unheard = false
}
