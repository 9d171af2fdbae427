"""From indicated to surface temperature."""
