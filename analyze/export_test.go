package analyze

// TheLongWay makes a machine take each row by itself, as it takes those that are not
// calm.
func (m *Machine) TheLongWay() { m.atOnce = 0 }
