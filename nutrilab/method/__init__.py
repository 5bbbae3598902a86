"""The written method: its values here; reading one (`nutrilab.method.reading`) is imported where a recipe has one."""

from nutrilab.method.values import AsRead, Fact, MethodRead, Named, Reduction, Step

__all__ = ["AsRead", "Fact", "MethodRead", "Named", "Reduction", "Step"]
