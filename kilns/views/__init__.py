"""The pages of kilns."""
