"""What is doubtful in a bike file that is valid: too much torque, stray holes, what leads nowhere."""
