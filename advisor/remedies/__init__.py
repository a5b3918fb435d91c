"""remedies"""
