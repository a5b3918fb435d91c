"""ensemble"""
